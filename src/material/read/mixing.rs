//! How the material is made ready: the `[mixing]` table.

use super::figure::Origin;
use super::{catalysed, two_part};
use crate::material::Mixing;
use crate::strict::{Key, Reported, Table};

const RULE: Key = Key::new("rule", "\"two-part\"");

#[derive(Debug, Clone, Copy)]
enum Rule {
    Catalyst,
    TwoPart,
    OnePart,
}

const RULES: [(&str, Rule); 3] =
    [("catalyst", Rule::Catalyst), ("two-part", Rule::TwoPart), ("one-part", Rule::OnePart)];

/// Reads the whole table; its figures must agree among themselves.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let origin = origin.within(table);
    match table.deciding(RULE, |field| field.choice(&RULES))?.into_inner() {
        Rule::Catalyst => {
            table.unwanted(&two_part::KEYS, "a catalysed resin has a dose, not a ratio", "take it out");
            catalysed::read(table, &origin)
        }
        Rule::TwoPart => {
            table.unwanted(&catalysed::KEYS, "two parts are mixed in a ratio, not by a dose", "take it out");
            two_part::read(table, &origin)
        }
        Rule::OnePart => {
            let why = "a one-part material is used as it comes";
            table.unwanted(&catalysed::KEYS, why, "take it out");
            table.unwanted(&two_part::KEYS, why, "take it out");
            Ok(Mixing::OnePart)
        }
    }
}

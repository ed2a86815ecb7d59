//! A catalysed resin: its doses.

use super::dose_rule::{self, DOSE_RULE};
use super::figure::Origin;
use crate::material::{Figure, Mixing};
use crate::strict::{Key, Problem, Reported, Spanned, Table};
use crate::units::{DosePercent, GramsPerMl};

const DOSE_MIN: Key = Key::new("dose_min_percent", "0.5");
const DOSE_USUAL: Key = Key::new("dose_usual_percent", "1");
const DOSE_MAX: Key = Key::new("dose_max_percent", "2");
const CATALYST_DENSITY: Key = Key::new("catalyst_density_g_per_ml", "1.1");

/// What only a catalysed resin has in its mixing table.
pub(super) const KEYS: [Key; 5] = [DOSE_MIN, DOSE_USUAL, DOSE_MAX, CATALYST_DENSITY, DOSE_RULE];

/// Reads the doses, which must agree among themselves.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let mut dose = |key| table.required(key, |field| origin.quantity(field, DosePercent::new));
    let (min, usual, max) = (dose(DOSE_MIN), dose(DOSE_USUAL), dose(DOSE_MAX));
    let density = table.required(CATALYST_DENSITY, |field| origin.quantity(field, GramsPerMl::new));
    let bounds = min.as_ref().ok().zip(max.as_ref().ok()).map(|(min, max)| (min.get_ref().value, max.get_ref().value));
    let dose_rule = table.optional(DOSE_RULE, |field| field.table(|table| dose_rule::read(table, origin, bounds)));
    let (min, usual, max) = (min?, usual?, max?);
    rising(table, [(DOSE_MIN, &min), (DOSE_USUAL, &usual), (DOSE_MAX, &max)]);
    Ok(Mixing::Catalysed {
        min: min.into_inner(),
        usual: usual.into_inner(),
        max: max.into_inner(),
        catalyst_density: density?.into_inner(),
        dose_rule: dose_rule?.map(Box::new),
    })
}

fn rising(table: &Table<'_>, doses: [(Key, &Spanned<Figure<DosePercent>>); 3]) {
    for [(lower_key, lower), (upper_key, upper)] in doses.array_windows() {
        let (low, high) = (lower.get_ref().value.get(), upper.get_ref().value.get());
        if low > high {
            let what = format!("'{}' is below '{}', which is {low} %", upper_key.name, lower_key.name);
            let remedy = format!("write {} = {low} or more, or lower '{}'", upper_key.name, lower_key.name);
            table.report(Problem::new(upper.span(), &what, Some(&high.to_string()), &remedy));
        }
    }
}

//! The `[tint]` table.

use super::size;
use crate::pour::{TestCup, Tint, TintKind};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use crate::units::Percent;
use std::ops::RangeInclusive;

const NAME: Key = Key::new("name", "\"blue-green dye\"");
const KIND: Key = Key::new("kind", "\"dye\"");
const PERCENT: Key = Key::new("percent", "0.05");
const MAX: Key = Key::new("max_percent", "2");
const TEST_CUP: Key = Key::new("test_cup", "{ depth_mm = 20, light_percent = 63 }");
const DEPTH: Key = Key::new("depth_mm", "20");
const LIGHT: Key = Key::new("light_percent", "63");

const KINDS: [(&str, TintKind); 3] = [("dye", TintKind::Dye), ("paste", TintKind::Paste), ("powder", TintKind::Powder)];

/// Common practice: labels stop at 5 to 10 %. A fifth is a slip of the decimal point.
const MOST_PERCENT: f64 = 20.0;

/// No meter tells more of it from all.
const ALL_LIGHT: RangeInclusive<f64> = 99.99..=100.0;

pub(super) fn read(table: &mut Table<'_>) -> Result<Tint, Reported> {
    let name = table.required(NAME, Field::text);
    let kind = table.required(KIND, |field| field.choice(&KINDS));
    let percent = table.required(PERCENT, loading);
    let max = table.optional(MAX, |field| field.quantity(Percent::new));
    let own = percent.as_ref().map(|percent| *percent.get_ref()).map_err(|reported| *reported);
    let test_cup = table.optional(TEST_CUP, |field| field.table(|cup| test_cup(cup, own)));
    Ok(Tint {
        name: name?.into_inner(),
        kind: kind?.into_inner(),
        loading: percent?.into_inner(),
        max: max?.map(Spanned::into_inner),
        test_cup: test_cup?,
    })
}

/// `own` is the piece's loading, which the cup has too where it does not give another.
fn test_cup(cup: &mut Table<'_>, own: Result<Percent, Reported>) -> Result<TestCup, Reported> {
    let depth = cup.required(DEPTH, size::length);
    let light = cup.required(LIGHT, light);
    let loading = cup.optional(PERCENT, loading);
    Ok(TestCup {
        depth: depth?.into_inner(),
        light: light?.into_inner(),
        loading: loading?.map_or(own, |loading| Ok(loading.into_inner()))?,
    })
}

/// Tint, percent of the resin by mass.
fn loading(field: Field<'_>) -> Result<Spanned<Percent>, Reported> {
    let name = field.key().name;
    field.judged(Percent::new, |percent| {
        let (what, remedy) = if percent == 0.0 {
            ("is 0, which is no tint", "write how much of the resin's mass it is, or take [tint] out for clear resin")
        } else if percent > MOST_PERCENT {
            (
                "is above 20 %: resin with so much colour in it does not set",
                "write percent of the resin's mass; 0.05 is usual for a dye",
            )
        } else {
            return Ok(());
        };
        Err(Mistake { what: format!("'{name}' {what}"), remedy: remedy.to_owned() })
    })
}

fn light(field: Field<'_>) -> Result<Spanned<Percent>, Reported> {
    field.judged(Percent::new, |percent| {
        let (what, remedy) = if percent == 0.0 {
            ("no light came through the test cup, so it says nothing", "look through a thinner cup and write its depth")
        } else if ALL_LIGHT.contains(&percent) {
            ("all light came through the test cup, so it says nothing", "look through a deeper cup and write its depth")
        } else {
            return Ok(());
        };
        Err(Mistake { what: what.to_owned(), remedy: remedy.to_owned() })
    })
}

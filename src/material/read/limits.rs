//! How deep, how much, how damp and how full of colour: the `[limits]` table.

use super::figure::Origin;
use crate::material::{Figure, Limits};
use crate::strict::{Key, Problem, Reported, Spanned, Table};
use crate::units::{Grams, Millimetres, Percent, UnitError};

const LAYER_MIN: Key = Key::new("layer_min_mm", "3");
const LAYER_MAX: Key = Key::new("layer_max_mm", "20");
const BATCH_MIN: Key = Key::new("batch_min_g", "30");
const BATCH_MAX: Key = Key::new("batch_max_g", "200");
const HUMIDITY: Key = Key::new("humidity_percent", "60");
const TINT_MAX: Key = Key::new("tint_max_percent", "10");

/// What the table says; all of it open where there is no table.
pub(super) struct LimitsRead {
    pub layer_depth: Limits<Millimetres>,
    pub batch_mass: Limits<Grams>,
    pub humidity: Option<Figure<Percent>>,
    pub tint_max: Option<Figure<Percent>>,
}

impl LimitsRead {
    pub const OPEN: LimitsRead = LimitsRead {
        layer_depth: Limits { min: None, max: None },
        batch_mass: Limits { min: None, max: None },
        humidity: None,
        tint_max: None,
    };
}

pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<LimitsRead, Reported> {
    let origin = origin.within(table);
    let layer_depth = between(table, &origin, [LAYER_MIN, LAYER_MAX], Millimetres::new);
    let batch_mass = between(table, &origin, [BATCH_MIN, BATCH_MAX], Grams::new);
    let mut share = |key| table.optional(key, |field| origin.quantity(field, Percent::new));
    let (humidity, tint_max) = (share(HUMIDITY), share(TINT_MAX));
    Ok(LimitsRead {
        layer_depth: layer_depth?,
        batch_mass: batch_mass?,
        humidity: humidity?.map(Spanned::into_inner),
        tint_max: tint_max?.map(Spanned::into_inner),
    })
}

fn between<T: Copy + Into<f64>>(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    [min_key, max_key]: [Key; 2],
    new: fn(f64) -> Result<T, UnitError>,
) -> Result<Limits<T>, Reported> {
    let mut bound = |key| table.optional(key, |field| origin.quantity(field, new));
    let (min, max) = (bound(min_key), bound(max_key));
    let (min, max) = (min?, max?);
    if let (Some(min), Some(max)) = (&min, &max) {
        let (low, high): (f64, f64) = (min.get_ref().value.into(), max.get_ref().value.into());
        if low > high {
            let what = format!("'{}' is above '{}', which is {high}", min_key.name, max_key.name);
            let remedy = format!("write {} = {high} or less, or raise '{}'", min_key.name, max_key.name);
            table.report(Problem::new(min.span(), &what, Some(&low.to_string()), &remedy));
        }
    }
    Ok(Limits { min: min.map(Spanned::into_inner), max: max.map(Spanned::into_inner) })
}

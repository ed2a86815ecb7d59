//! Lengths, levels and volumes of what stands on a bench. A larger one is a slip of the unit.

use crate::strict::{Field, Key, Mistake, Reported, Spanned};
use crate::units::{Level, Millilitres, Millimetres};

const LONGEST_MM: f64 = 5000.0;
pub(super) const LARGEST_ML: f64 = 1e6;

/// Levels closer than this are one: rounding in what people add up, not resin.
pub(super) const SAME_MM: f64 = 0.01;

pub(super) fn length(field: Field<'_>) -> Result<Spanned<Millimetres>, Reported> {
    let key = field.key();
    field.judged(Millimetres::new, |mm| no_longer(key, mm))
}

/// From the floor, 0, upwards.
pub(super) fn level(field: Field<'_>) -> Result<Spanned<Level>, Reported> {
    let key = field.key();
    field.judged(Level::new, |mm| no_longer(key, mm))
}

/// The level the casting is to reach.
pub(super) fn fill(field: Field<'_>) -> Result<Spanned<Level>, Reported> {
    above_floor(
        field,
        "so nothing would be cast",
        "write the level the resin is to reach, in millimetres above the floor",
    )
}

/// A level at which a layer can end.
pub(super) fn layer_end(field: Field<'_>) -> Result<Spanned<Level>, Reported> {
    above_floor(field, "and no layer ends there", "write a level above 0; what stands on the floor takes from_mm = 0")
}

fn above_floor(field: Field<'_>, why: &str, remedy: &str) -> Result<Spanned<Level>, Reported> {
    let key = field.key();
    field.judged(Level::new, |mm| {
        if mm == 0.0 {
            let what = format!("'{}' is 0, the floor, {why}", key.name);
            return Err(Mistake { what, remedy: remedy.to_owned() });
        }
        no_longer(key, mm)
    })
}

pub(super) fn volume(field: Field<'_>) -> Result<Spanned<Millilitres>, Reported> {
    let key = field.key();
    field.judged(Millilitres::new, |ml| {
        if ml <= LARGEST_ML {
            return Ok(());
        }
        let litres = ml / 1000.0;
        Err(Mistake {
            what: format!("'{}' is {litres} L: nothing cast here is larger than 1000 L", key.name),
            remedy: format!("check the unit: the key is in millilitres, as in {key}"),
        })
    })
}

fn no_longer(key: Key, mm: f64) -> Result<(), Mistake> {
    if mm <= LONGEST_MM {
        return Ok(());
    }
    let metres = mm / 1000.0;
    Err(Mistake {
        what: format!("'{}' is {metres} m: nothing cast here is longer than 5 m", key.name),
        remedy: format!("check the unit: the key is in millimetres, as in {key}"),
    })
}

//! Two parts in a fixed ratio: by weight, by volume, or by what the parts react with.

use super::equivalents::{self, EPOXIDE, HYDROGEN};
use super::figure::Origin;
use super::ratio::{self, Way};
use crate::material::{Figure, Mixing, Ratio};
use crate::strict::{Key, Reported, Spanned, Table};
use crate::units::GramsPerMl;

const BY_WEIGHT: Key = Key::new("by_weight", "\"100:83\"");
const BY_VOLUME: Key = Key::new("by_volume", "\"1:1\"");
const DENSITY_A: Key = Key::new("density_a_g_per_ml", "1.16");
const DENSITY_B: Key = Key::new("density_b_g_per_ml", "0.963");

/// What only a two-part material has in its mixing table.
pub(super) const KEYS: [Key; 6] = [BY_WEIGHT, BY_VOLUME, DENSITY_A, DENSITY_B, EPOXIDE, HYDROGEN];

/// Reads the ratio in any of its three ways; those that are given must agree among themselves.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let mut ratio = |key| table.optional(key, |field| origin.figure(field, |field| ratio::read(field, key)));
    let (by_weight, by_volume) = (ratio(BY_WEIGHT), ratio(BY_VOLUME));
    let equivalents = equivalents::read(table, origin);
    let mut density = |key| table.required(key, |field| origin.quantity(field, GramsPerMl::new));
    let (density_a, density_b) = (density(DENSITY_A), density(DENSITY_B));
    let (by_weight, by_volume, equivalents) = (by_weight?, by_volume?, equivalents?);
    let (a, b) = (density_a?.into_inner(), density_b?.into_inner());
    let heavier = a.value.get() / b.value.get();

    let labelled = by_weight.map(Way::by_weight);
    let reacting = equivalents.as_ref().map(equivalents::way);
    if let (Some(labelled), Some(reacting)) = (&labelled, &reacting) {
        labelled.hold_against(table, reacting.by_weight.value, &reacting.because, "the equivalents");
    }
    let by_weight = labelled.or(reacting);
    if let (Some(weight), Some(volume)) = (&by_weight, &by_volume) {
        let Ratio { a, b } = volume.get_ref().value;
        let because = format!("{a}:{b} by volume with these densities");
        weight.hold_against(table, Ratio { a: a * heavier, b }, &because, "'by_volume' or the densities");
    }
    // A ratio that is not given follows from the other one and the densities, and has its origin.
    let (by_weight, by_volume) = match (by_weight.map(|way| way.by_weight), by_volume.map(Spanned::into_inner)) {
        (None, None) => return Err(table.missing(BY_WEIGHT)),
        (Some(weight), None) => {
            let value = Ratio { a: weight.value.a / heavier, b: weight.value.b };
            (weight, Figure { value, from: weight.from })
        }
        (None, Some(volume)) => {
            let value = Ratio { a: volume.value.a * heavier, b: volume.value.b };
            (Figure { value, from: volume.from }, volume)
        }
        (Some(weight), Some(volume)) => (weight, volume),
    };
    let equivalents = equivalents.map(Spanned::into_inner);
    Ok(Mixing::TwoPart { by_weight, by_volume, density_a: a, density_b: b, equivalents })
}

//! What stands on the scale for a pour: the cup as it was weighed, and what goes into it.

use crate::bench::{Batch, NewMix, Poured};
use crate::material::{Profile, Weights};
use crate::pour::LayerPlan;
use crate::units::Grams;

/// The weights of `mix`, which pours `layer`: out of the master batch with its tint, as it was weighed or else as planned,
/// and the catalyst or part B for the resin in it.
pub fn weighed(layer: &LayerPlan, profile: &Profile, mix: &NewMix, poured: &Poured) -> Option<Weights> {
    let cup = poured.weighed.or_else(|| Grams::new(layer.from_master_g()).ok())?;
    let dose = Batch::planned(mix, profile).mix.dose;
    Some(match profile.weights(mix.resin?, dose).ok()? {
        Weights::Catalysed { catalyst, .. } => Weights::Catalysed { resin: cup, catalyst },
        Weights::TwoPart { b, .. } => Weights::TwoPart { a: cup, b },
        Weights::OnePart { .. } => Weights::OnePart { amount: cup },
    })
}

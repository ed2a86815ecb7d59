//! A piece worked out: layers, weights, master batch, opacity, order of work, warnings.

mod amounts;
mod checks;
mod conditions;
mod cup_checks;
mod division;
mod dose;
mod ground;
mod items;
mod layers;
mod master;
mod opacity;
mod outcome;
mod passed;
mod step;
mod steps;
mod totals;
mod warning;
mod words;

use super::piece::Piece;
use crate::material::Profile;
use ground::Ground;
use layers::Cut;

pub use amounts::cups;
pub use conditions::{Conditions, Progress};
pub use layers::topping_from_mm;
pub use outcome::{Cast, Chosen, CupParts, LayerKind, LayerPlan, MasterBatch, Opacity, Plan, Short, Step, Totals};
pub use step::{BadStep, StepId};
pub use warning::{Warning, WarningCode};

/// Plans what is left to pour of `piece` with `profile`, which is its material's. The warnings are in the order of their
/// codes, those about the whole piece before those about a layer.
pub fn plan(piece: &Piece, profile: &Profile, conditions: &Conditions) -> Plan {
    let mut warnings = Vec::new();
    let raised = passed::raised(&Ground::new(piece, profile, conditions), &mut warnings);
    let ground = Ground::new(raised.as_ref().unwrap_or(piece), profile, conditions);
    let cuts = layers::cuts(&ground);
    layers::check(&ground, &cuts, &mut warnings);
    let layers = weighed(&ground, cuts, &mut warnings);
    let master = master::batch(&ground, &layers, &mut warnings);
    let floaters = items::floaters(&ground, &layers);
    items::check(&floaters, &mut warnings);
    checks::check(&ground, &mut warnings);
    warnings.sort_by_key(|warning| (warning.code, warning.layer));
    Plan {
        bench: ground.bench,
        totals: totals::totals(&ground, &layers),
        opacity: opacity::opacity(&ground, &layers),
        steps: steps::steps(&ground, &layers, &master, &floaters),
        layers,
        master,
        warnings,
    }
}

/// Weighs out every layer. A layer is poured onto warm ones unless the casting has set cold before it; the topping always
/// waits for that.
fn weighed(ground: &Ground<'_>, cuts: Vec<Cut>, warnings: &mut Vec<Warning>) -> Vec<LayerPlan> {
    let mut warm_below = ground.progress.warm_layers;
    let mut layers = Vec::with_capacity(cuts.len());
    for cut in cuts {
        warm_below = if cut.cold { 0 } else { warm_below };
        layers.push(amounts::layer(ground, cut, warm_below, warnings));
        warm_below += 1;
    }
    layers
}

#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;

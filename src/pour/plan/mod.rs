//! A piece worked out: layers, weights, master batch, opacity, order of work, warnings.

mod amounts;
mod checks;
mod choice;
mod conditions;
mod cup_checks;
mod division;
mod dose;
mod follow;
mod ground;
mod items;
mod layers;
mod master;
mod opacity;
mod options;
mod outcome;
mod passed;
mod step;
mod steps;
mod totals;
mod warning;
mod wish;
mod words;

use super::piece::Piece;
use crate::material::Profile;
use dose::Place;
use follow::{Following, Model};
use ground::Ground;
use layers::Cut;

pub use amounts::cups;
pub use conditions::{Conditions, Laid, Progress};
pub use ground::usual_bench;
pub use layers::topping_from_mm;
pub use options::{DoseOption, LayerOptions, options};
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
    wish::check(&ground, &mut warnings);
    let model = if cuts.is_empty() { None } else { Model::of(&ground) };
    let following = model.as_ref().and_then(|model| Following::new(&ground, &cuts, model));
    let layers = weighed(&ground, cuts, following, &mut warnings);
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

/// Doses and weighs out every layer. A layer is poured onto warm ones unless the casting has set cold before it; the topping
/// always waits for that.
fn weighed(
    ground: &Ground<'_>,
    cuts: Vec<Cut>,
    mut following: Option<Following<'_>>,
    warnings: &mut Vec<Warning>,
) -> Vec<LayerPlan> {
    let mut warm_below = ground.progress.warm_layers;
    let mut layers = Vec::with_capacity(cuts.len());
    let mut cuts = cuts.into_iter().peekable();
    while let Some(cut) = cuts.next() {
        warm_below = if cut.cold { 0 } else { warm_below };
        let followed = cuts.peek().is_some_and(|next| !next.cold);
        let place = Place { number: cut.number, depth_mm: cut.to_mm - cut.from_mm, warm_below, followed };
        let chosen = choice::choose(ground, place, following.as_mut(), warnings);
        layers.push(amounts::layer(ground, cut, chosen, warnings));
        warm_below += 1;
    }
    if let Some(following) = following {
        following.finish(&mut layers, warnings);
    }
    layers
}

#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;

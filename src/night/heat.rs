//! A plan poured into the heat model as it stands: at its own times, with its own doses, along the forecast.

use super::ask::NightAsk;
use super::outcome::NightPlan;
use crate::heat::{LayerHeat, MaterialHeat};
use crate::pour::{Followed, LayerKind, RealPour};
use jiff::Timestamp;
use std::sync::Arc;

/// What is hotter than its limit by no more than this is told by nobody's thermometer, °C.
const TOLD_C: f64 = 0.5;

/// Writes into `plan` how hot each layer gets, and says which of them get too hot, or heat too much what lies in or below them.
pub(super) fn too_hot(
    ask: &NightAsk<'_>,
    material: Option<&Arc<MaterialHeat>>,
    start: Timestamp,
    plan: &mut NightPlan,
) -> Vec<usize> {
    let Some(material) = material else { return Vec::new() };
    let depths = ask.options.layers();
    let mut from_mm = 0.0;
    let mut pours = Vec::with_capacity(ask.progress.laid.len() + plan.pours.len());
    for laid in &ask.progress.laid {
        let (kind, at_h) = (LayerKind::Cast, -laid.ago_h);
        pours.push(RealPour { kind, from_mm, to_mm: laid.to_mm, at_h, dose: laid.dose, material: material.clone() });
        from_mm = laid.to_mm;
    }
    from_mm = ask.progress.level_mm.max(from_mm);
    let laid = pours.len();
    for (pour, layer) in plan.pours.iter().zip(depths) {
        let (kind, to_mm) = (pour.kind, from_mm + layer.depth_mm);
        let at_h = pour.at.duration_since(start).as_secs_f64() / 3600.0;
        pours.push(RealPour { kind, from_mm, to_mm, at_h, dose: pour.dose, material: material.clone() });
        from_mm = to_mm;
    }
    let Some(followed) = Followed::with_items(ask.piece, &pours, ask.bench.curve.clone()) else { return Vec::new() };
    let heats = followed.layers();
    // A layer without any depth is left out; then it cannot be said which is which.
    if heats.len() != pours.len() {
        return Vec::new();
    }
    let limit_c = material.peak_limit().get() + TOLD_C;
    let mut hot = Vec::new();
    for (place, (pour, heat)) in plan.pours.iter_mut().zip(&heats[laid..]).enumerate() {
        pour.peak_c = Some(heat.peak_c);
        if heat.peak_c > limit_c {
            hot.push(place);
        }
    }
    // One that lies below already may be pushed over its limit by what is poured on it; what was hot before is past.
    let pushed = |heat: &LayerHeat| heat.peak_c > limit_c && heat.peak_at_h > 0.0;
    if heats[..laid].iter().any(pushed) {
        hot.push(0);
    }
    hot.extend(item_too_hot(ask, &pours[laid..], &followed));
    hot.sort_unstable();
    hot.dedup();
    hot
}

/// The layers that heat an item over its limit: the last one poured before each was hottest.
fn item_too_hot(ask: &NightAsk<'_>, pours: &[RealPour], followed: &Followed) -> Vec<usize> {
    let seen = ask.piece.items.iter().zip(followed.items());
    let over = seen.filter_map(|(item, peak)| {
        let (peak, limit) = ((*peak)?, item.heat_limit?);
        (peak.peak_c > limit.get() + TOLD_C).then_some(peak)
    });
    // What was hot before the plan begins is none of its doing.
    over.filter_map(|peak| pours.iter().rposition(|pour| pour.at_h <= peak.at_h)).collect()
}

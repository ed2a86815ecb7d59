//! A plan poured into the heat model as it stands: at its own times, with its own doses, along the forecast.

use super::ask::NightAsk;
use super::outcome::NightPlan;
use crate::heat::{LayerHeat, MaterialHeat};
use crate::pour::{Followed, LayerKind, RealPour};
use jiff::Timestamp;
use std::sync::Arc;

/// What is hotter than its limit by no more than this is told by nobody's thermometer, °C.
const TOLD_C: f64 = 0.5;

/// Writes into `plan` how hot each layer gets, and says which of them gets too hot, or heats an item too much, if one does.
pub(super) fn too_hot(ask: &NightAsk<'_>, start: Timestamp, plan: &mut NightPlan) -> Option<usize> {
    let material = Arc::new(MaterialHeat::of(ask.profile).ok()?);
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
    let followed = Followed::with_items(ask.piece, &pours, ask.bench.curve.clone())?;
    let heats = followed.layers();
    // A layer without any depth is left out; then it cannot be said which is which.
    if heats.len() != pours.len() {
        return None;
    }
    let limit_c = material.peak_limit().get() + TOLD_C;
    let mut hottest = None;
    for (place, (pour, heat)) in plan.pours.iter_mut().zip(&heats[laid..]).enumerate() {
        pour.peak_c = Some(heat.peak_c);
        if heat.peak_c > limit_c && hottest.is_none() {
            hottest = Some(place);
        }
    }
    // One that lies below already may be pushed over its limit by what is poured on it; what was hot before is past.
    let pushed = |heat: &LayerHeat| heat.peak_c > limit_c && heat.peak_at_h > 0.0;
    let below = heats[..laid].iter().any(pushed).then_some(0);
    hottest.or(below).or_else(|| item_too_hot(ask, &pours[laid..], &followed))
}

/// The layer that heats an item over its limit: the last one poured before the item was hottest.
fn item_too_hot(ask: &NightAsk<'_>, pours: &[RealPour], followed: &Followed) -> Option<usize> {
    let seen = ask.piece.items.iter().zip(followed.items());
    let over = seen.filter_map(|(item, peak)| {
        let (peak, limit) = ((*peak)?, item.heat_limit?);
        (peak.peak_c > limit.get() + TOLD_C).then_some(peak)
    });
    // What was hot before the plan begins is none of its doing.
    let by = over.filter_map(|peak| pours.iter().rposition(|pour| pour.at_h <= peak.at_h));
    by.min()
}

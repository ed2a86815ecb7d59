//! When the next layer is poured.

use crate::cure::TemperatureCurve;
use crate::heat::Pile;
use crate::material::{Profile, Stage};
use crate::units::DosePercent;

/// What sets cold is left overnight (common practice), and so is what has nothing to wait for, hours. When it can leave the
/// mould it may still be hot from its own cure.
pub const OVERNIGHT_H: f64 = 12.0;

/// No stage takes longer than so many times what the temperature of the bench alone makes of it: own heat makes it shorter,
/// and a layer without any takes somewhat longer than the profile's own, which had some.
const LONGEST: f64 = 4.0;

/// What a layer was poured after.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Waited {
    /// Nothing: it is the first.
    Begun,
    /// The next-layer window of the one below had opened.
    Window,
    /// The one below had set cold: it could leave the mould, and was as cool as the bench.
    Cold,
    /// A night, or longer: what it waits for is not in the profile, or does not come at this temperature.
    Night,
}

/// Follows the pile until the layer above its last one, which has this dose, is poured.
pub(super) fn wait_for_next(
    pile: &mut Pile,
    profile: &Profile,
    dose: Option<DosePercent>,
    bench: &TemperatureCurve,
    cold: bool,
) -> Waited {
    let poured_h = pile.now_h();
    let stage = if cold { Stage::Demould } else { Stage::NextLayerOpens };
    let time = profile.thermal().and_then(|cure| Some((cure, cure.stage(stage)?)));
    let Some((cure, time)) = time else {
        pile.run_until(poured_h + OVERNIGHT_H);
        return Waited::Night;
    };
    let plain_h = cure.after_h(time, dose, bench, poured_h);
    let at_most_h = poured_h + plain_h.map_or(OVERNIGHT_H, |plain_h| (LONGEST * plain_h).max(OVERNIGHT_H));
    if !pile.run_until_stage(stage, at_most_h) {
        return Waited::Night;
    }
    if !cold {
        return Waited::Window;
    }
    pile.run_until(poured_h + OVERNIGHT_H);
    pile.run_until_calm(at_most_h);
    Waited::Cold
}

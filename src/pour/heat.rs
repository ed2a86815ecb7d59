//! How hot a piece gets: its layers poured one after another, each when the one below is ready for it.

mod followed;
mod outcome;
mod room;
mod stack;
mod wait;

use super::hollow::{hollow, item_watches, surroundings};
use super::{LayerPlan, Piece, Plan};
use crate::cure::TemperatureCurve;
use crate::heat::{LayerAsk, MaterialHeat, Pile};
use crate::material::{Profile, Stage};
use crate::units::DosePercent;

pub use followed::{Followed, RealPour};
pub use outcome::{ItemHeat, PieceHeat, PlainStage, PouredLayer};
pub use wait::{OVERNIGHT_H, Waited};

pub(super) use outcome::items_of;
pub(super) use room::{Room, Stretch};
pub(super) use stack::Stack;

/// How long after the last pour it is followed at most, hours.
pub(super) const FOLLOWED_H: f64 = 14.0 * 24.0;

const MM_A_M: f64 = 1000.0;

/// Pours `plan` with `material`, which is that of `profile`, from hour 0 of `bench` on: each layer as warm as the bench, when
/// the next-layer window of the one below opens with its own heat, or, where the plan lets it set cold, the next morning
/// when that can leave the mould. `None` for a piece whose room cannot be worked out.
pub fn heat_of(
    piece: &Piece,
    profile: &Profile,
    plan: &Plan,
    material: &MaterialHeat,
    bench: &TemperatureCurve,
) -> Option<PieceHeat> {
    let hollow = hollow(piece)?;
    let room = Room::new(hollow.height_m(), 0.0, plan.layers.iter().map(stretch));
    let watches = item_watches(piece);
    let pile = Pile::new(hollow, surroundings(piece), bench.clone(), 0.0, watches.clone());
    let mut stack = Stack::new(pile, profile, material, bench);
    let mut waits = Vec::with_capacity(plan.layers.len());
    for layer in &plan.layers {
        waits.push(stack.wait(layer.cold));
        stack.pour(room.top_m(stretch(layer)), layer.dose(), |_| true);
    }
    let mut pile = stack.pile;
    pile.run_until_calm(pile.now_h() + FOLLOWED_H);
    let heats = pile.layers();
    let mut items = items_of(piece, &watches, pile.items(), &heats);
    let layers =
        plan.layers.iter().zip(heats).zip(waits).enumerate().map(|(place, ((layer, heat), waited))| PouredLayer {
            number: layer.number,
            depth_mm: layer.cast.depth_mm(),
            dose: layer.dose(),
            start_c: bench.at(heat.poured_h),
            waited,
            plain: plain(profile, layer.dose(), bench, heat.poured_h),
            items: items.extract_if(.., |(at, _)| *at == place).map(|(_, item)| item).collect(),
            heat,
        });
    Some(PieceHeat { bench_c: bench.at(0.0), limit: material.peak_limit(), layers: layers.collect() })
}

/// One layer by itself, on a bench that stays as warm as the resin is poured.
pub fn heat_of_layer(profile: &Profile, material: &MaterialHeat, ask: &LayerAsk) -> PieceHeat {
    let bench = TemperatureCurve::constant(ask.start);
    let heat = material.layer(ask, &bench);
    let layer = PouredLayer {
        number: 1,
        depth_mm: ask.depth.get(),
        dose: ask.dose,
        start_c: ask.start.get(),
        waited: Waited::Begun,
        plain: plain(profile, ask.dose, &bench, heat.poured_h),
        items: Vec::new(),
        heat,
    };
    PieceHeat { bench_c: ask.start.get(), limit: material.peak_limit(), layers: vec![layer] }
}

fn stretch(layer: &LayerPlan) -> Stretch {
    Stretch { kind: layer.kind, from_mm: layer.cast.from_mm, to_mm: layer.cast.to_mm }
}

/// Every stage but the end of the pot life on the temperature of the bench alone.
fn plain(profile: &Profile, dose: Option<DosePercent>, bench: &TemperatureCurve, poured_h: f64) -> Vec<PlainStage> {
    let Some(cure) = profile.thermal() else { return Vec::new() };
    let in_layer = cure.stages.iter().filter(|time| time.stage != Stage::PotLife);
    in_layer.map(|time| PlainStage { stage: time.stage, after_h: cure.after_h(time, dose, bench, poured_h) }).collect()
}

#[cfg(test)]
mod tests;

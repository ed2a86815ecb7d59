//! The layers that are in the vessel, from what was really weighed and measured.

use super::BenchPiece;
use crate::bench::batch::Batch;
use crate::bench::entry::{BatchId, Part};
use crate::material::{Mixing, Profile};
use crate::pour::{Piece, Space};

/// One layer as it was poured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidLayer {
    pub number: u32,
    pub topping: bool,
    pub batch: BatchId,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// The layers of `piece`, from the floor up; `batches` are all that were ever mixed, undone ones left out.
///
/// A layer's depth follows from the resin that was weighed, less what stays in the cup, unless a level was measured after
/// it: then it ends there.
pub(super) fn laid<'a>(
    on_bench: &BenchPiece,
    piece: &Piece,
    batches: impl Iterator<Item = &'a Batch>,
) -> Vec<LaidLayer> {
    let space = Space::new(&piece.vessel, &piece.items);
    let mut measured = on_bench.measured.iter().peekable();
    let mut layers: Vec<LaidLayer> = Vec::new();
    let mut level_mm = 0.0;
    for batch in batches {
        let Some((_, number)) = batch.mix.part.and_then(Part::layer).filter(|(of, _)| *of == on_bench.id) else {
            continue;
        };
        while let Some(measure) = measured.next_if(|measure| measure.entry < batch.entry) {
            level_mm = correct(&mut layers, measure.level_mm);
        }
        let from_mm = level_mm;
        level_mm = reached_mm(piece, &space, batch, from_mm);
        let topping = matches!(batch.mix.part, Some(Part::Topping { .. }));
        layers.push(LaidLayer { number, topping, batch: batch.id, from_mm, to_mm: level_mm });
    }
    for measure in measured {
        correct(&mut layers, measure.level_mm);
    }
    layers
}

/// Ends the uppermost layer where the resin was found to stand.
fn correct(layers: &mut [LaidLayer], found_mm: f64) -> f64 {
    let Some(top) = layers.last_mut() else { return 0.0 };
    top.to_mm = found_mm.max(top.from_mm);
    top.to_mm
}

/// Where the resin of `batch` stands, poured in at `from_mm`.
fn reached_mm(piece: &Piece, space: &Space<'_>, batch: &Batch, from_mm: f64) -> f64 {
    let by_weight = batch.mix.resin.zip(batch.profile.as_deref()).and_then(|(resin, profile)| {
        let poured_g = (all_resin_g(profile, resin.get()) - piece.supplies.cup_loss.get()).max(0.0);
        space.level_after_mm(from_mm, poured_g / profile.density.value.get())
    });
    let by_depth = || batch.mix.depth.map(|depth| from_mm + depth.get());
    by_weight.or_else(by_depth).unwrap_or(from_mm).clamp(from_mm, piece.vessel.height_mm())
}

/// What the cup holds of resin, where `resin_g` is what a batch calls so: of a two-part system part A alone.
pub(super) fn all_resin_g(profile: &Profile, resin_g: f64) -> f64 {
    match &profile.mixing {
        Mixing::TwoPart { by_weight, .. } => resin_g * (1.0 + by_weight.value.b / by_weight.value.a),
        Mixing::Catalysed { .. } | Mixing::OnePart => resin_g,
    }
}

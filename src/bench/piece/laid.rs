//! The layers that are in the vessel, from what was really weighed and measured.

use super::BenchPiece;
use crate::bench::batch::Batch;
use crate::bench::entry::{BatchId, Part};
use crate::pour::{Piece, Space, cups, topping_from_mm};

/// One layer as it was poured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidLayer {
    pub number: u32,
    pub topping: bool,
    pub batch: BatchId,
    pub from_mm: f64,
    pub to_mm: f64,
    /// Whether the resin was measured at `to_mm`.
    pub measured: bool,
}

/// The layers of `piece`, from the floor up; `batches` are all that were ever mixed, undone ones left out.
///
/// A layer's depth follows from the resin that was weighed, less what stays in its cups, unless a level was measured after
/// it: then it ends there.
pub(in crate::bench) fn laid<'a>(
    on_bench: &BenchPiece,
    piece: &Piece,
    batches: impl Iterator<Item = &'a Batch>,
) -> Vec<LaidLayer> {
    let space = Space::new(&piece.vessel, &piece.items);
    let mut measured: Vec<_> = on_bench.measured.iter().collect();
    measured.sort_by_key(|measure| measure.at);
    let mut measured = measured.into_iter().peekable();
    let mut layers: Vec<LaidLayer> = Vec::new();
    for batch in batches {
        let Some((_, number)) = batch.mix.part.and_then(Part::layer).filter(|(of, _)| *of == on_bench.id) else {
            continue;
        };
        while let Some(measure) = measured.next_if(|measure| measure.at < batch.started) {
            correct(&mut layers, measure.level_mm);
        }
        let topping = matches!(batch.mix.part, Some(Part::Topping { .. }));
        let from_mm = begins_mm(piece, batch, topping, layers.last());
        let to_mm = reached_mm(piece, &space, batch, from_mm);
        layers.push(LaidLayer { number, topping, batch: batch.id, from_mm, to_mm, measured: false });
    }
    for measure in measured {
        correct(&mut layers, measure.level_mm);
    }
    layers
}

/// Ends the layers where the resin was found to stand; what was reckoned to lie above it does not.
fn correct(layers: &mut [LaidLayer], found_mm: f64) {
    let Some(top) = layers.last_mut() else { return };
    (top.to_mm, top.measured) = (found_mm, true);
    for layer in layers {
        layer.from_mm = layer.from_mm.min(found_mm);
        layer.to_mm = layer.to_mm.min(found_mm);
    }
}

/// Where `batch` is poured in, onto `below`: a topping on the casting as it has sunk.
fn begins_mm(piece: &Piece, batch: &Batch, topping: bool, below: Option<&LaidLayer>) -> f64 {
    let Some(below) = below else { return 0.0 };
    match batch.profile.as_deref().filter(|_| topping) {
        Some(profile) => topping_from_mm(piece, profile, below.to_mm, below.measured),
        None => below.to_mm,
    }
}

/// Where the resin of `batch` stands, poured in at `from_mm`.
fn reached_mm(piece: &Piece, space: &Space<'_>, batch: &Batch, from_mm: f64) -> f64 {
    let by_weight = batch.mix.resin.zip(batch.profile.as_deref()).and_then(|(resin, profile)| {
        let mixed_g = profile.all_resin_g(resin.get());
        let lost_g = f64::from(cups(profile, mixed_g)) * piece.supplies.cup_loss.get();
        let poured_g = (mixed_g - lost_g).max(0.0);
        space.level_after_mm(from_mm, poured_g / profile.density.value.get())
    });
    let by_depth = || batch.mix.depth.map(|depth| from_mm + depth.get());
    by_weight.or_else(by_depth).unwrap_or(from_mm).clamp(from_mm, piece.vessel.height_mm())
}

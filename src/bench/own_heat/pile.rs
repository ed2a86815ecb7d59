//! The layers that warm each other: those of a piece, or one wide layer by itself.

use super::book::Materials;
use super::{HeatPlace, OwnHeat, in_order};
use crate::bench::batch::Batch;
use crate::bench::entry::{BatchId, PieceId};
use crate::bench::log::Log;
use crate::bench::moment::{after_hours, hours_between};
use crate::bench::piece::{LaidLayer, laid};
use crate::cure::TemperatureCurve;
use crate::heat::LayerHeat;
use crate::material::Stage;
use crate::pour::{Followed, LayerKind, RealPour};
use crate::units::{Celsius, Millimetres};
use jiff::Timestamp;

/// Which layers stand on each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PileId {
    Piece(PieceId),
    Wide(BatchId),
}

/// They, followed.
#[derive(Debug, Clone)]
pub(super) struct BatchPile {
    /// First contact of the first one: hour 0.
    origin: Timestamp,
    /// From the floor up.
    batches: Vec<BatchId>,
    followed: Followed,
    limit: Celsius,
}

impl BatchPile {
    /// The layers of a piece as they were really poured, `batch` among them, which may still be to come; gone on from
    /// `before`, where that is still true.
    pub fn of_piece(
        id: PieceId,
        batch: &Batch,
        log: &Log,
        materials: &mut Materials,
        before: Option<&Self>,
    ) -> Option<Self> {
        let on_bench = log.piece(id)?;
        let piece = on_bench.piece.as_deref()?;
        let planned = log.batch(batch.id).is_none().then_some(batch);
        let batches = || log.batches().chain(planned);
        let mut layers = laid(on_bench, piece, batches());
        layers.retain(|layer| layer.to_mm > layer.from_mm);
        let of = |layer: &LaidLayer| batches().find(|batch| batch.id == layer.batch);
        let first = of(layers.first()?)?;
        let origin = first.started;
        let pours =
            layers.iter().map(|layer| pour(of(layer)?, layer, origin, materials)).collect::<Option<Vec<_>>>()?;
        let bench = room(first, log)?;
        let again =
            before.filter(|before| before.origin == origin).and_then(|b| b.followed.again(&pours, bench.clone()));
        let followed = again.or_else(|| Followed::in_piece(piece, &pours, bench))?;
        let batches = layers.iter().map(|layer| layer.batch).collect();
        Some(Self { origin, batches, followed, limit: pours.last()?.material.peak_limit() })
    }

    /// A wide layer of its own.
    pub fn wide(
        batch: &Batch,
        depth: Millimetres,
        log: &Log,
        materials: &mut Materials,
        before: Option<&Self>,
    ) -> Option<Self> {
        let layer =
            LaidLayer { number: 1, topping: false, batch: batch.id, from_mm: 0.0, to_mm: depth.get(), measured: false };
        let origin = batch.started;
        let pour = pour(batch, &layer, origin, materials)?;
        let bench = room(batch, log)?;
        let again = before.and_then(|before| before.followed.again(std::slice::from_ref(&pour), bench.clone()));
        let followed = again.unwrap_or_else(|| Followed::wide(depth, &pour, bench));
        Some(Self { origin, batches: vec![batch.id], followed, limit: pour.material.peak_limit() })
    }

    /// What `batch`, which is one of them, goes through; `None` where the model could not follow it.
    pub fn own_heat(&self, batch: &Batch) -> Option<OwnHeat> {
        let place = self.batches.iter().position(|id| *id == batch.id)?;
        let layer = self.followed.layers().get(place).filter(|layer| layer.resolved)?;
        let start_h = hours_between(self.origin, batch.started);
        let stages = layer.stages.iter().filter_map(|stage| Some((stage.stage, stage.at_h? - start_h)));
        let stages: Vec<(Stage, f64)> = stages.collect();
        Some(OwnHeat {
            started: batch.started,
            place: HeatPlace::Layer,
            stages: in_order(&stages),
            peak_c: layer.peak_c,
            peak_at: after_hours(self.origin, layer.peak_at_h)?,
            limit: self.limit,
            trace: trace(layer, start_h),
        })
    }
}

/// The room from the first contact of `batch` on; where nothing was measured it is taken to be as its profile's times are for.
pub(super) fn room(batch: &Batch, log: &Log) -> Option<TemperatureCurve> {
    let reference = || Some(batch.profile.as_deref()?.thermal()?.reference_temperature.value);
    log.readings().curve_for_heat(batch.started).or_else(|| reference().map(TemperatureCurve::constant))
}

fn pour(batch: &Batch, layer: &LaidLayer, origin: Timestamp, materials: &mut Materials) -> Option<RealPour> {
    Some(RealPour {
        kind: if layer.topping { LayerKind::Topping } else { LayerKind::Cast },
        from_mm: layer.from_mm,
        to_mm: layer.to_mm,
        at_h: hours_between(origin, batch.started),
        dose: batch.mix.dose,
        material: materials.of(batch)?,
    })
}

fn trace(layer: &LayerHeat, start_h: f64) -> Vec<(f64, f64)> {
    let begun = layer.trace.first().map(|point| (layer.poured_h - start_h, point.bench_c));
    begun.into_iter().chain(layer.trace.iter().map(|point| (point.at_h - start_h, point.hottest_c))).collect()
}

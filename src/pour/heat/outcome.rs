//! What is said of the heat of a piece.

use super::{MM_A_M, Waited};
use crate::heat::{ItemPeak, ItemWatch, LayerHeat, TracePoint};
use crate::material::Stage;
use crate::pour::Piece;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent};

/// Cooled down to this share of its rise a layer is of no more interest.
const CALM: f64 = 0.1;

/// A piece poured layer by layer.
#[derive(Debug, Clone, PartialEq)]
pub struct PieceHeat {
    /// At the first pour.
    pub bench_c: f64,
    /// Hotter than this a casting yellows or cracks, by the profile.
    pub limit: Celsius,
    /// From the floor up.
    pub layers: Vec<PouredLayer>,
}

/// One layer poured. Hours in its heat and its trace are those of the bench's axis; what the methods give is counted from its
/// own pour.
#[derive(Debug, Clone, PartialEq)]
pub struct PouredLayer {
    pub number: u32,
    pub depth_mm: f64,
    pub dose: Option<DosePercent>,
    /// Of the resin as it is poured.
    pub start_c: f64,
    pub waited: Waited,
    pub heat: LayerHeat,
    /// Without the heat of the cure.
    pub plain: Vec<PlainStage>,
    /// Items that are hottest through this layer.
    pub items: Vec<ItemHeat>,
}

/// When a stage comes on the temperature of the bench alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainStage {
    pub stage: Stage,
    /// From the pour; `None` where it never does.
    pub after_h: Option<f64>,
}

/// The highest temperature an embedded item sees.
#[derive(Debug, Clone, PartialEq)]
pub struct ItemHeat {
    pub name: PlainText,
    pub peak_c: f64,
    /// From the pour of the layer that heats it.
    pub peak_h: f64,
    /// It must not get hotter.
    pub limit: Option<Celsius>,
}

impl PieceHeat {
    /// The layer with the highest peak.
    pub fn hottest(&self) -> Option<&PouredLayer> {
        self.layers.iter().max_by(|a, b| a.heat.peak_c.total_cmp(&b.heat.peak_c))
    }

    pub fn resolved(&self) -> bool {
        self.layers.iter().all(|layer| layer.heat.resolved)
    }
}

impl PouredLayer {
    pub fn peak_h(&self) -> f64 {
        self.heat.peak_at_h - self.heat.poured_h
    }

    /// How deep the hottest place lies below the layer's own top, mm.
    pub fn peak_below_top_mm(&self) -> f64 {
        (self.heat.to_m - self.heat.peak_level_m) * MM_A_M
    }

    /// Its temperatures from the pour until most of its heat has gone.
    pub fn course(&self) -> &[TracePoint] {
        let trace = self.heat.trace.as_slice();
        let warm_c = CALM * (self.heat.peak_c - self.start_c).max(0.0);
        let busy = trace.iter().rposition(|point| point.hottest_c > point.bench_c + warm_c);
        &trace[..busy.map_or(trace.len(), |last| (last + 2).min(trace.len()))]
    }

    /// When a stage comes with the heat of the cure; `None` where it never does.
    pub fn stage_h(&self, stage: Stage) -> Option<f64> {
        let of = self.heat.stages.iter().find(|of| of.stage == stage)?;
        Some(of.at_h? - self.heat.poured_h)
    }

    /// The same without that heat.
    pub fn plain_h(&self, stage: Stage) -> Option<f64> {
        self.plain.iter().find(|of| of.stage == stage)?.after_h
    }
}

/// What each item saw, with the place of the layer that heated it most: of those it lies in, the last one that was poured
/// before it was hottest. `watches` and `peaks` are in the order of the piece's items.
pub(in crate::pour) fn items_of(
    piece: &Piece,
    watches: &[ItemWatch],
    peaks: &[Option<ItemPeak>],
    heats: &[LayerHeat],
) -> Vec<(usize, ItemHeat)> {
    let seen = piece.items.iter().zip(watches).zip(peaks).filter_map(|((item, watch), peak)| {
        let peak = (*peak)?;
        let inside = |heat: &LayerHeat| heat.from_m < watch.to_m && heat.to_m > watch.from_m;
        let place = heats.iter().rposition(|heat| inside(heat) && heat.poured_h <= peak.at_h)?;
        let peak_h = peak.at_h - heats[place].poured_h;
        let name = PlainText::new(&item.counted());
        Some((place, ItemHeat { name, peak_c: peak.peak_c, peak_h, limit: item.heat_limit }))
    });
    seen.collect()
}

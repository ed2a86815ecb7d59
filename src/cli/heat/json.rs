//! What `heat --json` prints. The keys are a promise: they may grow, but not change.

use super::asked::Heated;
use crate::material::{MaterialId, Stage};
use crate::pour::{ItemHeat, PouredLayer, Waited};
use crate::report::PeakBand;
use crate::text::PlainText;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct HeatJson<'a> {
    /// Null for a single layer.
    piece: Option<&'a PlainText>,
    material: &'a MaterialId,
    bench_c: f64,
    /// From the floor up.
    layers: Vec<LayerJson<'a>>,
    resolved: bool,
    /// What is odd about the layer asked for.
    remarks: Vec<String>,
}

/// Hours are from the layer's own pour, but that of the pour itself; null for what never comes or is not known.
#[derive(Serialize)]
struct LayerJson<'a> {
    layer: u32,
    depth_mm: f64,
    dose_percent: Option<f64>,
    /// From the first pour.
    poured_at_h: f64,
    /// What it was poured after: first, window, cold, night.
    poured_after: &'static str,
    peak_c: f64,
    peak_low_c: f64,
    peak_high_c: f64,
    peak_at_h: f64,
    /// Below the layer's own top.
    peak_depth_mm: f64,
    gel_h: Option<f64>,
    tack_free_h: Option<f64>,
    next_layer_opens_h: Option<f64>,
    next_layer_closes_h: Option<f64>,
    demould_h: Option<f64>,
    full_cure_h: Option<f64>,
    /// By the temperature of the bench alone, here and below.
    plain_gel_h: Option<f64>,
    plain_tack_free_h: Option<f64>,
    plain_next_layer_opens_h: Option<f64>,
    plain_next_layer_closes_h: Option<f64>,
    plain_demould_h: Option<f64>,
    plain_full_cure_h: Option<f64>,
    limit_c: f64,
    margin_c: f64,
    item_peaks: Vec<ItemJson<'a>>,
    resolved: bool,
}

#[derive(Serialize)]
struct ItemJson<'a> {
    item: &'a PlainText,
    peak_c: f64,
    limit_c: Option<f64>,
    at_h: f64,
}

impl<'a> HeatJson<'a> {
    pub fn new(heated: &'a Heated<'_>) -> Self {
        let Heated { asked, heat } = heated;
        let limit_c = heat.limit.get();
        Self {
            piece: asked.cast.as_ref().map(|cast| &cast.piece.name),
            material: &asked.profile.id,
            bench_c: heat.bench_c,
            layers: heat.layers.iter().map(|layer| LayerJson::new(layer, limit_c)).collect(),
            resolved: heat.resolved(),
            remarks: asked.remarks(),
        }
    }
}

impl<'a> LayerJson<'a> {
    fn new(layer: &'a PouredLayer, limit_c: f64) -> Self {
        let peak_c = layer.heat.peak_c;
        let band = PeakBand::of(peak_c, layer.start_c);
        Self {
            layer: layer.number,
            depth_mm: layer.depth_mm,
            dose_percent: layer.dose.map(crate::units::DosePercent::get),
            poured_at_h: layer.heat.poured_h,
            poured_after: match layer.waited {
                Waited::Begun => "first",
                Waited::Window => "window",
                Waited::Cold => "cold",
                Waited::Night => "night",
            },
            peak_c,
            peak_low_c: band.low_c,
            peak_high_c: band.high_c,
            peak_at_h: layer.peak_h(),
            peak_depth_mm: layer.peak_below_top_mm(),
            gel_h: layer.stage_h(Stage::Gel),
            tack_free_h: layer.stage_h(Stage::TackFree),
            next_layer_opens_h: layer.stage_h(Stage::NextLayerOpens),
            next_layer_closes_h: layer.stage_h(Stage::NextLayerCloses),
            demould_h: layer.stage_h(Stage::Demould),
            full_cure_h: layer.stage_h(Stage::FullCure),
            plain_gel_h: layer.plain_h(Stage::Gel),
            plain_tack_free_h: layer.plain_h(Stage::TackFree),
            plain_next_layer_opens_h: layer.plain_h(Stage::NextLayerOpens),
            plain_next_layer_closes_h: layer.plain_h(Stage::NextLayerCloses),
            plain_demould_h: layer.plain_h(Stage::Demould),
            plain_full_cure_h: layer.plain_h(Stage::FullCure),
            limit_c,
            margin_c: limit_c - peak_c,
            item_peaks: layer.items.iter().map(ItemJson::new).collect(),
            resolved: layer.heat.resolved,
        }
    }
}

impl<'a> ItemJson<'a> {
    fn new(ItemHeat { name, peak_c, peak_h, limit }: &'a ItemHeat) -> Self {
        Self { item: name, peak_c: *peak_c, limit_c: limit.map(crate::units::Celsius::get), at_h: *peak_h }
    }
}

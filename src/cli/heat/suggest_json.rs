//! What `heat --suggest --json` prints. The keys are a promise: they may grow, but not change.

use super::asked::Asked;
use crate::heat::{SuggestAsk, Suggestion, SweepCell, Way};
use crate::material::MaterialId;
use crate::units::DosePercent;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct SuggestJson<'a> {
    material: &'a MaterialId,
    depth_mm: f64,
    dose_percent: Option<f64>,
    bench_c: f64,
    limit_c: f64,
    gel_within_h: f64,
    /// Null where even the thinnest layer is too hot.
    deepest: Option<DeepestJson>,
    /// Null for a material without a dose, and where no dose does both.
    weakest_dose: Option<CellJson>,
    strongest_dose: Option<CellJson>,
    /// Whether any dose at this depth gels in time and stays within the limit; null for a material without a dose.
    any_dose: Option<bool>,
    ways: Vec<WayJson>,
    /// Null where there is none, here and below.
    fewest: Option<WayJson>,
    coolest: Option<WayJson>,
}

#[derive(Serialize)]
struct CellJson {
    depth_mm: f64,
    dose_percent: Option<f64>,
    peak_c: f64,
    peak_at_h: f64,
    gel_h: Option<f64>,
    resolved: bool,
}

#[derive(Serialize)]
struct DeepestJson {
    #[serde(flatten)]
    cell: CellJson,
    /// The heat would allow more; the profile does not, or no more was looked at.
    held: bool,
}

#[derive(Serialize)]
struct WayJson {
    layers: u32,
    #[serde(flatten)]
    cell: CellJson,
}

impl<'a> SuggestJson<'a> {
    pub fn new(asked: &'a Asked, wish: &SuggestAsk, suggestion: &Suggestion) -> Self {
        let doses = suggestion.doses;
        Self {
            material: &asked.profile.id,
            depth_mm: wish.layer.depth.get(),
            dose_percent: wish.layer.dose.map(DosePercent::get),
            bench_c: wish.layer.start.get(),
            limit_c: wish.limit.get(),
            gel_within_h: wish.gel_within.get(),
            deepest: suggestion.deepest.map(|deepest| DeepestJson { cell: deepest.cell.into(), held: deepest.held }),
            weakest_dose: doses.and_then(|doses| doses.weakest).map(Into::into),
            strongest_dose: doses.and_then(|doses| doses.strongest).map(Into::into),
            any_dose: doses.map(|doses| doses.range().is_some()),
            ways: suggestion.ways.iter().map(WayJson::from).collect(),
            fewest: suggestion.fewest().as_ref().map(WayJson::from),
            coolest: suggestion.coolest().as_ref().map(WayJson::from),
        }
    }
}

impl From<SweepCell> for CellJson {
    fn from(SweepCell { ask, peak_c, peak_h, gel_h, resolved }: SweepCell) -> Self {
        let dose_percent = ask.dose.map(DosePercent::get);
        Self { depth_mm: ask.depth.get(), dose_percent, peak_c, peak_at_h: peak_h, gel_h, resolved }
    }
}

impl From<&Way> for WayJson {
    fn from(way: &Way) -> Self {
        Self { layers: way.layers, cell: way.cell.into() }
    }
}

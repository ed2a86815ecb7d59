//! What goes into a pile, and what comes out.

use crate::cure::CureRule;
use crate::heat::kinetics::Resin;
use crate::material::Stage;

/// Where in a layer a stage is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SurfaceOf {
    /// At the open face of the layer.
    Top,
    /// Where it comes last.
    Slowest,
}

/// What a stage needs of a layer: so many hours of cure age of the resin itself, by its own rule.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageClock {
    pub stage: Stage,
    pub rule: CureRule,
    pub age_h: f64,
    /// And this share reacted, where the profile says so.
    pub conversion: Option<f64>,
    pub at: SurfaceOf,
}

/// One layer to pour.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPour {
    /// The level it reaches, above the floor.
    pub to_m: f64,
    /// With the kinetics of its dose.
    pub resin: Resin,
    /// Of the resin as it is poured.
    pub start_c: f64,
    pub clocks: Vec<StageClock>,
}

/// A range of levels whose temperature matters: an embedded item, or a single place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ItemWatch {
    pub from_m: f64,
    pub to_m: f64,
}

/// One moment of a layer, for a picture.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TracePoint {
    /// Hours on the axis of the bench curve.
    pub at_h: f64,
    pub bench_c: f64,
    /// The hottest place of the layer.
    pub hottest_c: f64,
    /// Its top: an open face, or where the layer above lies on it.
    pub top_c: f64,
}

/// A layer's temperatures over time.
pub type Trace = Vec<TracePoint>;

/// When a stage comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageHeat {
    pub stage: Stage,
    /// Hours on the axis of the bench curve, with the heat of the cure; `None` where it is never reached.
    pub at_h: Option<f64>,
}

/// The highest temperature a watched place sees.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ItemPeak {
    pub peak_c: f64,
    pub at_h: f64,
}

/// What one layer went through.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerHeat {
    pub from_m: f64,
    pub to_m: f64,
    /// Of its pour, hours on the axis of the bench curve.
    pub poured_h: f64,
    pub peak_c: f64,
    pub peak_at_h: f64,
    /// Level of the hottest place.
    pub peak_level_m: f64,
    pub stages: Vec<StageHeat>,
    /// Whether the grid followed the reaction everywhere.
    pub resolved: bool,
    pub trace: Trace,
}

impl LayerHeat {
    /// When `stage` comes, hours on the axis of the bench curve.
    pub fn stage_h(&self, stage: Stage) -> Option<f64> {
        self.stages.iter().find(|heat| heat.stage == stage)?.at_h
    }
}

//! How hot it gets: conversion, calibration from a standard cup, the cup itself, and layers stacked on each other.
//!
//! One reaction drives both the clock and the heat: dα/dt = (k1 + k2 α)(1 − α) · r(T), r the material's temperature rule.
//! Inside the room everything is SI (m, kg, s, J, W) but temperatures, which are °C; what is handed out carries its unit in
//! its name.

mod calibrate;
mod case;
mod cubic;
mod cup;
mod hollow;
mod kinetics;
mod material_heat;
mod pile;
mod speed;
mod suggest;
mod surroundings;
mod sweep;

pub use calibrate::{CupTest, NoSuchMaterial, calibrate};
pub use case::{Case, CaseAnswer, read_case};
pub use cup::{Cup, CupCourse, TOO_HOT_TO_HOLD_C};
pub use hollow::{Hollow, HollowPoint};
pub use kinetics::{ConversionLimit, Kinetics, Resin};
pub use material_heat::{LayerAsk, MaterialHeat, NoHeat};
pub use pile::{
    Fineness, ItemPeak, ItemWatch, LayerHeat, LayerPour, Peaks, Pile, StageClock, StageHeat, SurfaceOf, Trace,
    TracePoint,
};
pub use suggest::{Deepest, Doses, SuggestAsk, Suggestion, Way};
pub use surroundings::{Face, Surroundings, Wall, WallMaterial};
pub use sweep::{Across, Span, SweepCell, SweepGrid};

#[cfg(test)]
mod testing;

//! Under what a pour is planned, and how far it has come.

use crate::units::{Celsius, DosePercent};

/// Under what the pour is planned.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// The bench's temperature; where it is not known the piece's own counts, else the profile's reference.
    pub bench: Option<Celsius>,
    pub progress: Progress,
}

/// How far the piece has come already.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Progress {
    /// Layers poured: what is planned begins with the next number.
    pub poured: u32,
    /// Where the poured resin stands; 0 before the first layer.
    pub level_mm: f64,
    /// Whether it was measured there, rather than reckoned from what was weighed.
    pub measured: bool,
    /// Where the uppermost layer begins, where that is known: items bedded above were not in the vessel when it was poured.
    pub last_from_mm: Option<f64>,
    /// Layers poured without a cold pause since the last one that set cold: decides the dose of the next.
    pub warm_layers: u32,
    /// What lies in the vessel, from the floor up, where that is known: its heat is reckoned with.
    pub laid: Vec<Laid>,
    /// The dose that was settled on for a layer with the plan for the night: it takes the place of the planned one.
    pub settled: Option<(u32, DosePercent)>,
    /// The topping is poured as well: nothing is left to do.
    pub topped: bool,
    /// Resin weighed out for the piece already: off what there was at hand. Of a two-part system both parts together.
    pub used_g: f64,
    /// The same without trial cups: off the tinted master batch.
    pub poured_g: f64,
}

/// A layer that is poured already.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Laid {
    pub to_mm: f64,
    /// Catalysed materials only; `None` for the reference dose.
    pub dose: Option<DosePercent>,
    /// Since its pour, hours; not negative.
    pub ago_h: f64,
}

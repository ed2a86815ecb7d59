//! What a batch's own heat does to it: when its stages come with that heat, and how hot it gets.

mod book;
mod cup;
mod pile;
#[cfg(test)]
mod tests;
mod words;

pub use book::HeatBook;
pub(super) use words::cup_words;
pub use words::{WORTH_TELLING_C, correction_words, heat_words};

use super::moment::{after_hours, hours_between};
use crate::material::Stage;
use crate::units::Celsius;
use jiff::Timestamp;

/// Where a batch heats itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum HeatPlace {
    /// In its vessel, or wide and so deep.
    Layer,
    /// In the cup it was mixed in, if it stays there; with the moment at which that gets too hot to hold.
    Cup { too_hot_at: Option<Timestamp> },
}

/// The heat of cure of one batch, by the model: an estimate.
#[derive(Debug, Clone, PartialEq)]
pub struct OwnHeat {
    started: Timestamp,
    pub place: HeatPlace,
    /// Hours from first contact; a stage that is never reached is left out.
    stages: Vec<(Stage, f64)>,
    /// Of the hottest place.
    pub peak_c: f64,
    pub peak_at: Timestamp,
    /// Hotter than this a casting yellows or cracks, by the profile.
    pub limit: Celsius,
    /// Hours from first contact, and °C of the hottest place, until it is as warm as the bench.
    trace: Vec<(f64, f64)>,
}

impl OwnHeat {
    /// The hottest place of the resin at `at`, °C; `None` before first contact, and once it is as warm as the bench.
    pub fn celsius_at(&self, at: Timestamp) -> Option<f64> {
        let at_h = hours_between(self.started, at);
        let after = self.trace.partition_point(|(h, _)| *h <= at_h);
        let ((from_h, from_c), (to_h, to_c)) = (*self.trace.get(after.checked_sub(1)?)?, *self.trace.get(after)?);
        Some(from_c + (at_h - from_h) / (to_h - from_h) * (to_c - from_c))
    }

    /// When the resin is as warm as the bench again.
    pub fn calm_at(&self) -> Option<Timestamp> {
        after_hours(self.started, self.trace.last()?.0)
    }

    /// Hours from first contact after which `stage` comes with the resin's own heat.
    pub(super) fn stage_h(&self, stage: Stage) -> Option<f64> {
        self.stages.iter().find(|(of, _)| *of == stage).map(|(_, at_h)| *at_h)
    }
}

/// `stages` with none before one that it proves: a piece that has cured has gelled. Each has a temperature rule of its own,
/// and what those come to when it gets hot need not agree.
fn in_order(stages: &[(Stage, f64)]) -> Vec<(Stage, f64)> {
    let after_its_proof = |(stage, at_h): &(Stage, f64)| {
        let earlier = stages.iter().filter(|(earlier, _)| stage.implies(*earlier));
        (*stage, earlier.fold(*at_h, |latest, (_, earlier_h)| latest.max(*earlier_h)))
    };
    stages.iter().map(after_its_proof).collect()
}

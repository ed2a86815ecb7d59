//! A batch in the cup it was mixed in.

use super::{HeatPlace, OwnHeat};
use crate::bench::batch::Batch;
use crate::bench::moment::after_hours;
use crate::cure::TemperatureCurve;
use crate::heat::MaterialHeat;
use crate::material::{Fingerprint, Stage};
use crate::units::Grams;

/// A cup, followed until it is as warm as the room.
#[derive(Debug, Clone)]
pub(super) struct BatchCup {
    bench: TemperatureCurve,
    /// The figures it was followed with.
    profile: Fingerprint,
    until_h: f64,
    pub heat: OwnHeat,
}

impl BatchCup {
    /// `batch` in a cup with `mass` of it, along `bench` from first contact on.
    pub fn of(batch: &Batch, mass: Grams, material: &MaterialHeat, bench: TemperatureCurve) -> Option<Self> {
        let dose = batch.mix.dose;
        let course = material.cup(mass.get(), dose, &bench);
        let pot_life_h = material.pot_life_h(mass.get(), dose, &bench);
        let moment = |hours: f64| after_hours(batch.started, hours);
        let trace: Vec<(f64, f64)> = course.trace().collect();
        let until_h = trace.last().map_or(0.0, |(at_h, _)| *at_h).max(pot_life_h.unwrap_or(f64::INFINITY));
        let heat = OwnHeat {
            started: batch.started,
            place: HeatPlace::Cup { too_hot_at: course.too_hot_to_hold_h.and_then(moment) },
            stages: pot_life_h.map(|at_h| (Stage::PotLife, at_h)).into_iter().collect(),
            peak_c: course.peak_c,
            peak_at: moment(course.peak_h)?,
            limit: material.peak_limit(),
            trace,
        };
        Some(Self { bench, profile: batch.mix.profile.clone(), until_h, heat })
    }

    /// Whether `batch` goes the same way along `bench`.
    pub fn holds(&self, batch: &Batch, bench: &TemperatureCurve) -> bool {
        self.profile == batch.mix.profile && self.bench.agrees_until_h(bench) >= self.until_h
    }
}

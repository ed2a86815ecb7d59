//! When each stage of a batch is reached, on the readings so far and the last one held.

use super::batch::Batch;
use super::moment::{after_hours, hours_between};
use super::readings::Readings;
use crate::cure::{AgeCurve, Band, CureRule, RateLaw, StageModel, TemperatureCurve, dose_factor};
use crate::material::{Provenance, Stage, StageTime, ThermalCure};
use crate::units::{DosePercent, Hours};
use jiff::Timestamp;
use serde::Serialize;

/// How far a stage has come.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum StageStatus {
    /// Before the early edge of its band.
    Ahead,
    /// Inside its band: any moment.
    Near,
    /// After the late edge, and nobody has looked.
    Past,
    /// Seen, or implied by a later stage that was seen.
    Seen,
    /// At the temperature held now the clock stands: it will not be reached.
    Never,
}

/// One stage of one batch.
#[derive(Debug, Clone, PartialEq)]
pub struct StageForecast {
    pub stage: Stage,
    pub status: StageStatus,
    /// `None` where the clock stands for good.
    pub band: Band<Option<Timestamp>>,
    /// When it was reached at the latest, if it was seen.
    pub reached_at: Option<Timestamp>,
    /// Where the duration behind it comes from.
    pub from: Provenance,
}

/// A batch's clock, and what it says of every stage.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchForecast {
    /// Hours at the reference temperature so far.
    pub cure_age: Hours,
    /// In the order of [`Stage`]; empty for a material without a temperature clock.
    pub stages: Vec<StageForecast>,
    /// The temperature the clock runs at, °C: measured, or the profile's reference where nothing was.
    pub bench_c: f64,
    /// The clock stands: the bench is below the profile's floor.
    pub stands: bool,
    /// The bench is above the profile's ceiling: the times are not to be trusted.
    pub above_ceiling: bool,
}

impl BatchForecast {
    pub fn stage(&self, stage: Stage) -> Option<&StageForecast> {
        self.stages.iter().find(|s| s.stage == stage)
    }
}

/// Computes the forecast of `batch` at `now`; `None` for a material that has no temperature clock, or whose profile
/// could not be read.
pub fn forecast(batch: &Batch, readings: &Readings, now: Timestamp) -> Option<BatchForecast> {
    let cure = batch.profile.as_ref()?.thermal()?;
    let curve =
        readings.curve(batch.started).unwrap_or_else(|| TemperatureCurve::constant(cure.reference_temperature.value));
    let model = Model { batch, cure, curve, readings, now };
    let main = model.ages(cure.law.value);
    let now_h = hours_between(batch.started, now).max(0.0);
    let bench_c = model.curve.at(now_h);
    Some(BatchForecast {
        cure_age: Hours::new(main.age_at(now_h)).unwrap_or(Hours::ZERO),
        stages: cure.stages.iter().map(|time| model.stage(time, &main)).collect(),
        bench_c,
        stands: main.rule().stands_at(bench_c),
        above_ceiling: bench_c > cure.ceiling.value.get(),
    })
}

struct Model<'a> {
    batch: &'a Batch,
    cure: &'a ThermalCure,
    curve: TemperatureCurve,
    readings: &'a Readings,
    now: Timestamp,
}

impl Model<'_> {
    fn ages(&self, law: RateLaw) -> AgeCurve {
        let rule =
            CureRule { law, reference: self.cure.reference_temperature.value, floor: Some(self.cure.floor.value) };
        AgeCurve::new(&self.curve, rule, 0.0)
    }

    fn stage(&self, time: &StageTime, main: &AgeCurve) -> StageForecast {
        let own = time.law.map(|law| self.ages(law.value));
        let ages = own.as_ref().unwrap_or(main);
        let needed = time.after.value.get() * dose_effect(self.cure, self.batch.mix.dose);
        let model = StageModel { age: Hours::new(needed).unwrap_or(time.after.value), spread: time.spread.value };
        let started = self.batch.started;
        let reached_at = self.batch.reached(time.stage);
        // Of a stage that was seen, the band says what was expected, to be held against what came.
        let not_reached_at = self.batch.not_reached_at(time.stage).filter(|_| reached_at.is_none());
        let not_before = not_reached_at.map(|at| hours_between(started, at));
        let outlook = self.readings.outlook(started, self.now);
        let band = model.predict(ages, &outlook, not_before).map(|h| h.and_then(|h| after_hours(started, h)));
        StageForecast {
            stage: time.stage,
            status: status(&band, reached_at, self.now),
            band,
            reached_at,
            from: time.after.from,
        }
    }
}

fn status(band: &Band<Option<Timestamp>>, reached: Option<Timestamp>, now: Timestamp) -> StageStatus {
    match (reached, band.early, band.likely, band.late) {
        (Some(_), ..) => StageStatus::Seen,
        (None, _, None, _) => StageStatus::Never,
        (None, _, _, Some(late)) if now >= late => StageStatus::Past,
        (None, Some(early), ..) if now >= early => StageStatus::Near,
        (None, ..) => StageStatus::Ahead,
    }
}

/// How much longer (above 1) or shorter (below 1) the stages take for this dose; 1 where the dose is fixed or unknown.
fn dose_effect(cure: &ThermalCure, dose: Option<DosePercent>) -> f64 {
    match (cure.reference_dose, cure.dose_exponent, dose) {
        (Some(reference), Some(exponent), Some(dose)) => dose_factor(reference.value, dose, exponent.value),
        _ => 1.0,
    }
}

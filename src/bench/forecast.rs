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
    /// Since when the clock stands, because the bench is below the profile's floor; `None` while it runs.
    pub stands_since: Option<Timestamp>,
    /// The bench is above the profile's ceiling: the times are not to be trusted.
    pub above_ceiling: bool,
}

impl BatchForecast {
    /// Whether the clock stands.
    pub fn stands(&self) -> bool {
        self.stands_since.is_some()
    }

    /// Whether the next-layer window has probably closed at `now`.
    pub fn window_is_over(&self, now: Timestamp) -> bool {
        self.stage(Stage::NextLayerCloses).and_then(|s| s.band.likely).is_some_and(|closes| closes <= now)
    }

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
        stands_since: main.stands_since().and_then(|h| after_hours(batch.started, h)),
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::BatchId;
    use crate::bench::entry::{Entry, Seen};
    use crate::bench::testing::{Story, at};

    fn of(story: &Story, minute: i64) -> BatchForecast {
        let log = story.log();
        forecast(log.batch(BatchId(1)).unwrap(), log.readings(), at(minute)).unwrap()
    }

    fn status_at(story: &Story, stage: Stage, minute: i64) -> StageStatus {
        of(story, minute).stage(stage).unwrap().status
    }

    fn likely(story: &Story, stage: Stage) -> Option<Timestamp> {
        of(story, 0).stage(stage).unwrap().band.likely
    }

    #[test]
    fn a_stage_comes_near_passes_and_is_seen() {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        // Gel 30 min, late over likely at least 1.4: the band holds 22 to 42 min, and not much more.
        let met = [10, 25, 41, 60].map(|minute| status_at(&story, Stage::Gel, minute));
        assert_eq!(met, [StageStatus::Ahead, StageStatus::Near, StageStatus::Near, StageStatus::Past]);
        story.see(60, batch, Stage::Gel, Seen::By { by: at(60) });
        assert_eq!(status_at(&story, Stage::Gel, 60), StageStatus::Seen);
    }

    #[test]
    fn at_the_reference_the_likely_time_is_the_profiles() {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        assert_eq!(likely(&story, Stage::Gel), Some(at(30)));
        assert_eq!(likely(&story, Stage::Demould), Some(at(7 * 60)));
        let forecast = of(&story, 45);
        assert!((forecast.cure_age.get() - 0.75).abs() < 1e-9 && (forecast.bench_c - 20.0).abs() < 1e-12);
        assert!(!forecast.stands() && !forecast.above_ceiling);
    }

    #[test]
    fn under_the_floor_it_stands_and_is_never() {
        let mut story = Story::new();
        story.read(-10, 12.9);
        story.mix(0, "clear-polyester");
        let cold = of(&story, 5);
        assert!(cold.stands() && cold.cure_age == Hours::ZERO);
        assert!(cold.stages.iter().all(|s| s.status == StageStatus::Never && s.band.likely.is_none()));
    }

    #[test]
    fn above_the_ceiling_it_says_so() {
        let mut story = Story::new();
        story.read(-10, 32.1);
        story.mix(0, "clear-polyester");
        assert!(of(&story, 5).above_ceiling);
    }

    #[test]
    fn a_stage_with_a_temperature_rule_of_its_own_keeps_to_it() {
        let mut story = Story::new();
        story.read(-10, 13.0);
        story.mix(0, "coating-epoxy");
        // 10 °C under the reference: pot life 25 min by q10 = 2, gel 3 h by the material's q10 = 1.3.
        assert_eq!(likely(&story, Stage::PotLife), Some(at(50)));
        assert_eq!(likely(&story, Stage::Gel), Some(at(3 * 78)));
    }

    #[test]
    fn half_the_dose_takes_longer_by_the_profiles_exponent() {
        let mut story = Story::at_20_c();
        let (_, entry) = story.pour(0, "clear-polyester", None);
        let mut weak = story.entries().iter().find(|s| s.id == entry).unwrap().entry.clone();
        story.undo(0, entry);
        let Entry::Mixed(mix) = &mut weak else { panic!("{weak:?}") };
        mix.dose = DosePercent::new(0.5).ok();
        story.write(0, weak);
        let log = story.log();
        let batch = log.batch(BatchId(2)).unwrap();
        let gel = forecast(batch, log.readings(), at(0)).unwrap().stage(Stage::Gel).unwrap().band.likely.unwrap();
        // 30 min × (1 / 0.5)^0.9 = 55.98 min.
        assert!((hours_between(at(0), gel) * 60.0 - 55.98).abs() < 0.01);
    }

    #[test]
    fn light_has_no_clock() {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "uv-resin");
        let log = story.log();
        assert_eq!(forecast(log.batch(batch).unwrap(), log.readings(), at(5)), None);
    }
}

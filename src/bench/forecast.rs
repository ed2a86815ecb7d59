//! When each stage of a batch is reached, on the readings so far and the last one held.

use super::batch::Batch;
use super::moment::{after_hours, hours_between};
use super::own_heat::OwnHeat;
use super::readings::Readings;
use crate::cure::{AgeCurve, Band, RateLaw, StageDoubt, StageModel, TemperatureCurve};
use crate::material::{Provenance, Stage, StageTime, ThermalCure};
use crate::night::Quantiles;
use crate::units::Hours;
use jiff::Timestamp;
use serde::Serialize;
use std::sync::Arc;

/// Two moments that are nearer than this, or than this share of what the later one takes, are not told apart.
const SAME_H: f64 = 1.0 / 60.0;
const SAME_SHARE: f64 = 0.02;
/// Two hours of one age are the same: the clock did not stand between them.
const RAN_H: f64 = 1e-6;

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
    /// At the temperature held now the clock stands, or the reaction stops short of it: it will not be reached.
    Never,
}

/// One stage of one batch.
#[derive(Debug, Clone, PartialEq)]
pub struct StageForecast {
    pub stage: Stage,
    pub status: StageStatus,
    /// With the resin's own heat, where that is known; `None` where the clock stands for good, or the reaction stops short of
    /// the stage.
    pub band: Band<Option<Timestamp>>,
    /// The likely time by the temperature of the bench alone, where it is another.
    pub plain: Option<Timestamp>,
    /// The bench below which the reaction stops short of it, °C; `None` where that is not known, or does not matter.
    pub least_c: Option<f64>,
    /// When it was reached at the latest, if it was seen.
    pub reached_at: Option<Timestamp>,
    /// Where the duration behind it comes from.
    pub from: Provenance,
    /// Of a learned one: from so many observations of this stage.
    pub learned_from: Option<u32>,
}

impl StageForecast {
    /// Where its time comes from, in few words.
    pub fn source_words(&self) -> String {
        match self.learned_from {
            Some(0) => "along with what was learned".to_owned(),
            Some(observations) => format!("learned from {observations}"),
            None => self.from.words().to_owned(),
        }
    }
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
    /// The moment it was made for.
    pub at: Timestamp,
    /// Since when the clock stands, or from when on it will, because the bench is below the profile's floor; `None` while it
    /// runs.
    pub stands_since: Option<Timestamp>,
    /// The bench is above the profile's ceiling: the times are not to be trusted.
    pub above_ceiling: bool,
    /// The resin's own heat, where its profile says enough of it and its depth or its mass is known.
    pub own_heat: Option<Arc<OwnHeat>>,
}

impl BatchForecast {
    /// Whether the clock stands.
    pub fn stands(&self) -> bool {
        self.stands_since.is_some_and(|since| since <= self.at)
    }

    /// Whether the next-layer window has probably closed at `now`.
    pub fn window_is_over(&self, now: Timestamp) -> bool {
        self.stage(Stage::NextLayerCloses).and_then(|s| s.band.likely).is_some_and(|closes| closes <= now)
    }

    pub fn stage(&self, stage: Stage) -> Option<&StageForecast> {
        self.stages.iter().find(|s| s.stage == stage)
    }
}

/// Computes the forecast of `batch` at `now`, with its own heat where that is given; `None` for a material that has no
/// temperature clock, or whose profile could not be read.
pub fn forecast(
    batch: &Batch,
    readings: &Readings,
    own_heat: Option<&Arc<OwnHeat>>,
    now: Timestamp,
) -> Option<BatchForecast> {
    let cure = batch.profile.as_ref()?.thermal()?;
    let curve =
        readings.curve(batch.started).unwrap_or_else(|| TemperatureCurve::constant(cure.reference_temperature.value));
    let model = Model { batch, cure, curve, readings, own_heat: own_heat.map(Arc::as_ref), now };
    let main = model.ages(cure.law.value);
    let now_h = hours_between(batch.started, now).max(0.0);
    let bench_c = model.curve.at(now_h);
    Some(BatchForecast {
        cure_age: Hours::new(main.age_at(now_h)).unwrap_or(Hours::ZERO),
        stages: cure.stages.iter().map(|time| model.stage(time, &main)).collect(),
        bench_c,
        at: now,
        stands_since: main.stands_since().and_then(|h| after_hours(batch.started, h)),
        above_ceiling: bench_c > cure.ceiling.value.get(),
        own_heat: own_heat.cloned(),
    })
}

/// How the moment at which `batch` reaches a stage is distributed, in hours from `from`; `None` for a stage its material does
/// not have, or without a clock.
pub(super) fn quantiles(
    batch: &Batch,
    readings: &Readings,
    own_heat: Option<&Arc<OwnHeat>>,
    now: Timestamp,
    from: Timestamp,
    stage: Stage,
) -> Option<Quantiles> {
    let cure = batch.profile.as_ref()?.thermal()?;
    let time = cure.stage(stage)?;
    let later_h = hours_between(from, batch.started);
    if let Some(reached) = batch.reached(stage) {
        return Some(Quantiles::from_fn(|_| Some(hours_between(from, reached))));
    }
    let curve =
        readings.curve(batch.started).unwrap_or_else(|| TemperatureCurve::constant(cure.reference_temperature.value));
    let model = Model { batch, cure, curve, readings, own_heat: own_heat.map(Arc::as_ref), now };
    let ages = model.ages(time.law.unwrap_or(cure.law).value);
    let own_age = model.own_h(time).and_then(|own_h| age_with(own_h, &ages));
    let stage_model = model.stage_model(time, own_age.unwrap_or(cure.age(time, batch.mix.dose)));
    let not_before = batch.not_reached_at(stage).map(|at| hours_between(batch.started, at));
    let law = stage_model.law(&ages, &readings.outlook(batch.started, now), not_before);
    Some(Quantiles::from_fn(|p| Some(law.quantile_h(p)? + later_h)))
}

/// What the resin's own heat leaves of a stage's age to be gained from the bench: ln of that share; 0 where the bench decides
/// alone, or nothing is known of the heat.
pub fn own_heat_share(
    batch: &Batch,
    curve: &TemperatureCurve,
    readings: &Readings,
    own_heat: Option<&OwnHeat>,
    stage: Stage,
) -> f64 {
    let share = || {
        let cure = batch.profile.as_ref()?.thermal()?;
        let model = Model { batch, cure, curve: curve.clone(), readings, own_heat, now: batch.started };
        let time = cure.stage(stage)?;
        let ages = model.ages(time.law.unwrap_or(cure.law).value);
        let own_age = age_with(model.own_h(time)?, &ages)?;
        let share = (own_age.get() / cure.age(time, batch.mix.dose).get()).ln();
        share.is_finite().then_some(share)
    };
    share().unwrap_or(0.0)
}

struct Model<'a> {
    batch: &'a Batch,
    cure: &'a ThermalCure,
    curve: TemperatureCurve,
    readings: &'a Readings,
    own_heat: Option<&'a OwnHeat>,
    now: Timestamp,
}

impl Model<'_> {
    fn ages(&self, law: RateLaw) -> AgeCurve {
        AgeCurve::new(&self.curve, self.cure.rule(law), 0.0)
    }

    fn stage(&self, time: &StageTime, main: &AgeCurve) -> StageForecast {
        let own = time.law.map(|law| self.ages(law.value));
        let ages = own.as_ref().unwrap_or(main);
        let least_c = self.cure.warmth_for(time);
        let started = self.batch.started;
        let reached_at = self.batch.reached(time.stage);
        // Of a stage that was seen, the band says what was expected, to be held against what came.
        let not_reached_at = self.batch.not_reached_at(time.stage).filter(|_| reached_at.is_none());
        let not_before = not_reached_at.map(|at| hours_between(started, at));
        let outlook = self.readings.outlook(started, self.now);
        let learned = self.cure.learned_of(time.stage);
        let in_hours = |age: Hours| self.stage_model(time, age).predict(ages, &outlook, not_before);
        let plain_age = self.cure.age(time, self.batch.mix.dose);
        let own_age = self.own_h(time).and_then(|own_h| age_with(own_h, ages));
        let band = in_hours(own_age.unwrap_or(plain_age));
        let plain_h = own_age.and_then(|_| in_hours(plain_age).likely);
        let plain_h = plain_h.filter(|plain_h| band.likely.is_some_and(|likely_h| differ(*plain_h, likely_h)));
        let band = band.map(|h| h.and_then(|h| after_hours(started, h)));
        StageForecast {
            stage: time.stage,
            status: status(&band, reached_at, self.now),
            band,
            plain: plain_h.and_then(|h| after_hours(started, h)),
            least_c,
            reached_at,
            from: time.after.from,
            learned_from: learned.map(|learned| learned.observations),
        }
    }

    /// The stage at the age it needs.
    fn stage_model(&self, time: &StageTime, age: Hours) -> StageModel {
        let strength = self.cure.strength(self.batch.mix.dose);
        let doubt = self.cure.learned_of(time.stage).map(|learned| StageDoubt { doubt: learned.doubt, strength });
        StageModel { age, spread: time.spread.value, least_c: self.cure.warmth_for(time), doubt }
    }

    /// Hours to a stage with the resin's own heat.
    fn own_h(&self, time: &StageTime) -> Option<f64> {
        let own = self.own_heat?;
        let plain_h = |time: &StageTime| self.cure.after_h(time, self.batch.mix.dose, &self.curve, 0.0);
        self.cure.own_h(time, |stage| own.stage_h(stage), plain_h)
    }
}

/// The age by the bench at the hour at which the resin reaches a stage with its own heat: a batch is there when the bench
/// has given it that much. `None` where the bench decides alone: where it was too cold for the clock at that hour. A bench
/// that gets too cold later does not take back what the resin's own heat has done by then.
fn age_with(own_h: f64, ages: &AgeCurve) -> Option<Hours> {
    let age = Hours::new(ages.age_at(own_h)).ok().filter(|age| age.get() > 0.0)?;
    let at_h = ages.reach(age.get())?;
    ((at_h - own_h).abs() < RAN_H * own_h.max(1.0)).then_some(age)
}

fn differ(a_h: f64, b_h: f64) -> bool {
    (a_h - b_h).abs() > (a_h.max(b_h) * SAME_SHARE).max(SAME_H)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::BatchId;
    use crate::bench::entry::{Entry, Seen};
    use crate::bench::testing::{Story, at};
    use crate::units::DosePercent;

    fn of(story: &Story, minute: i64) -> BatchForecast {
        let log = story.log();
        forecast(log.batch(BatchId(1)).unwrap(), log.readings(), None, at(minute)).unwrap()
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
    fn too_cool_for_full_cure_the_clock_runs_on_all_the_same() {
        let mut story = Story::new();
        story.read(-10, 16.9);
        story.mix(0, "coating-epoxy");
        // Full cure needs 0.85 reacted; at 17 °C, 0.88 - 0.005 · (23 - 17), it is there.
        let cool = of(&story, 60);
        let full = cool.stage(Stage::FullCure).unwrap();
        assert_eq!((full.status, full.band.likely, full.least_c), (StageStatus::Never, None, Some(17.0)));
        assert!(!cool.stands() && cool.cure_age > Hours::ZERO);
        assert_eq!(status_at(&story, Stage::Demould, 60), StageStatus::Ahead);
        // Ten days at 16.9 °C are 6.6 by the stage's own q10 = 2, more than the three it takes: it comes with the warmth,
        // where the line to 17.1 °C crosses 17 °C.
        let day = 24 * 60;
        story.read(10 * day, 16.9);
        story.read(10 * day + 60, 17.1);
        let warmed = of(&story, 10 * day + 60).stage(Stage::FullCure).unwrap().band.likely.unwrap();
        assert!((hours_between(at(10 * day + 30), warmed)).abs() < 1e-6, "{warmed}");
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
        let gel = forecast(batch, log.readings(), None, at(0)).unwrap().stage(Stage::Gel).unwrap().band.likely.unwrap();
        // 30 min × (1 / 0.5)^0.9 = 55.98 min.
        assert!((hours_between(at(0), gel) * 60.0 - 55.98).abs() < 0.01);
    }

    #[test]
    fn light_has_no_clock() {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "uv-resin");
        let log = story.log();
        assert_eq!(forecast(log.batch(batch).unwrap(), log.readings(), None, at(5)), None);
    }
}

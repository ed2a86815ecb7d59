//! Compares an expectation with what is there.

use super::read::{Check, Expect, StageCheck, Wanted, WhichTime, first_from};
use super::run::Stage as Night;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::bench::{AlarmId, AlarmState, Batch, BatchForecast, Bench, HeatBook, Log, StageForecast, forecast};
use nightpour::material::Stage;
use nightpour::when::Written;

/// A time written without seconds is checked to the minute, one with seconds to the second; both are rounded.
const HALF_A_MINUTE: SignedDuration = SignedDuration::from_secs(30);
const A_SECOND: SignedDuration = SignedDuration::from_secs(1);
/// Temperatures are written with one decimal, cure ages with two.
const BENCH_SLACK_C: f64 = 0.05;
const AGE_SLACK_H: f64 = 0.005;

/// What does not hold of `expect`, each with its line.
pub fn failures(expect: &Expect, night: &Night, zone: &TimeZone) -> Vec<String> {
    let clock = expect.at.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string();
    let place = format!("line {}, expect at {clock}, batch {}", expect.line, expect.batch);
    let Some(desk) = &night.desk else { return vec![format!("{place}: no bench is open")] };
    let view = View { bench: desk.bench(), night, expect, zone };
    let wrong = expect.checks.iter().filter_map(|check| view.check(check).err());
    let mut failures: Vec<String> = wrong.map(|words| format!("{place}: {words}")).collect();
    if !view.replays_the_same(&Log::replay(desk.entries().iter().cloned())) {
        failures.push(format!("{place}: replaying the notebook gives other forecasts"));
    }
    failures
}

struct View<'a> {
    bench: &'a Bench,
    night: &'a Night,
    expect: &'a Expect,
    zone: &'a TimeZone,
}

impl View<'_> {
    fn check(&self, check: &Check) -> Result<(), String> {
        match check {
            Check::Running(wanted) => same("running", *wanted, self.running().is_some()),
            Check::BenchC(wanted) => close("bench_c", *wanted, self.clock()?.bench_c, BENCH_SLACK_C),
            Check::AgeH(wanted) => close("age_h", *wanted, self.clock()?.cure_age.get(), AGE_SLACK_H),
            Check::Stands(wanted) => same("stands", *wanted, self.clock()?.stands()),
            Check::Refused(words) => self.said("refused", words, true),
            Check::Said(words) => self.said("said", words, false),
            Check::Of(stage, check) => self.of(*stage, check).map_err(|words| format!("{stage}: {words}")),
        }
    }

    fn of(&self, stage: Stage, check: &StageCheck) -> Result<(), String> {
        let rung = || self.night.rung.get(&AlarmId::of(self.expect.batch, stage)).cloned().unwrap_or_default();
        match check {
            StageCheck::Status(wanted) => same("status", *wanted, self.stage(stage)?.status),
            StageCheck::Time(which, wanted) => self.time(*which, wanted, self.stage(stage)?),
            StageCheck::Alarm(wanted) => same("alarm", *wanted, self.alarm(stage)),
            StageCheck::Rings(wanted) => close("rings", *wanted, f64::from(rung().times), 0.1),
            StageCheck::Heard(words) => contains("heard", words, &rung().words),
        }
    }

    fn running(&self) -> Option<(&Batch, Option<&BatchForecast>)> {
        self.bench.running().find(|(batch, _)| batch.id == self.expect.batch)
    }

    fn clock(&self) -> Result<&BatchForecast, String> {
        let (_, forecast) = self.running().ok_or("no such batch is running")?;
        forecast.ok_or_else(|| "the batch has no clock".to_owned())
    }

    fn stage(&self, stage: Stage) -> Result<&StageForecast, String> {
        self.clock()?.stage(stage).ok_or_else(|| "the material has no such stage".to_owned())
    }

    fn alarm(&self, stage: Stage) -> &'static str {
        let id = AlarmId::of(self.expect.batch, stage);
        match self.bench.alarms().iter().find(|alarm| alarm.id == id).map(|alarm| alarm.state) {
            None => "none",
            Some(AlarmState::Pending) => "pending",
            Some(AlarmState::Sounding { missed: false }) => "sounding",
            Some(AlarmState::Sounding { missed: true }) => "missed",
            Some(AlarmState::Resting { .. }) => "resting",
            Some(AlarmState::Snoozed { .. }) => "snoozed",
            Some(AlarmState::Acknowledged { .. }) => "acknowledged",
        }
    }

    fn time(&self, which: WhichTime, wanted: &Wanted, stage: &StageForecast) -> Result<(), String> {
        let found = match which {
            WhichTime::Early => stage.band.early,
            WhichTime::Likely => stage.band.likely,
            WhichTime::Late => stage.band.late,
            WhichTime::Plain => stage.plain,
            WhichTime::Reached => stage.reached_at,
        };
        let wanted = match wanted {
            Wanted::Never => None,
            Wanted::At(written) => Some(self.moment(*written)?),
        };
        let agree = match (wanted, found) {
            (None, None) => true,
            (Some(wanted), Some(found)) => {
                let slack = if wanted.as_second() % 60 == 0 { HALF_A_MINUTE } else { A_SECOND };
                wanted.duration_since(found).abs() <= slack
            }
            _ => false,
        };
        let shown = |at: Option<Timestamp>| {
            at.map_or("never".to_owned(), |at| at.to_zoned_datetime(self.zone.clone()).strftime("%F %T").to_string())
        };
        if agree { Ok(()) } else { Err(format!("{which:?}: wanted {}, found {}", shown(wanted), shown(found))) }
    }

    fn moment(&self, written: Written) -> Result<Timestamp, String> {
        let (batch, _) = self.running().ok_or("no such batch is running")?;
        match written {
            Written::Moment(at) => Ok(at),
            Written::Local(at) => self.zone.to_timestamp(at).map_err(|error| error.to_string()),
            Written::Clock(clock) => Ok(first_from(batch.started, clock, self.zone)),
        }
    }

    fn said(&self, what: &str, words: &str, refused: bool) -> Result<(), String> {
        let lines = self.night.said.iter().filter(|said| said.at == self.expect.at && said.refused == refused);
        contains(what, words, &lines.map(|said| said.words.as_str()).collect::<Vec<_>>().join("; "))
    }

    /// State is a fold over the entries: taking them in one by one or all at once must come to the same.
    fn replays_the_same(&self, replayed: &Log) -> bool {
        let all = |log: &Log| {
            let heat = HeatBook::of(log);
            let forecasts = log
                .running()
                .map(|batch| (batch.id, forecast(batch, log.readings(), heat.get(batch.id), self.expect.at)));
            forecasts.collect::<Vec<_>>()
        };
        all(replayed) == all(self.bench.log())
    }
}

fn same<T: Copy + PartialEq + std::fmt::Debug>(what: &str, wanted: T, found: T) -> Result<(), String> {
    if wanted == found { Ok(()) } else { Err(format!("{what}: wanted {wanted:?}, found {found:?}")) }
}

fn close(what: &str, wanted: f64, found: f64, slack: f64) -> Result<(), String> {
    if (wanted - found).abs() <= slack { Ok(()) } else { Err(format!("{what}: wanted {wanted}, found {found}")) }
}

fn contains(what: &str, words: &str, found: &str) -> Result<(), String> {
    if found.contains(words) { Ok(()) } else { Err(format!("{what}: wanted '{words}', found '{found}'")) }
}

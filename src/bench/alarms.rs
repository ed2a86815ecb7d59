//! Alarms: what is due, what rings, what was answered.
//!
//! Whether an alarm is answered is a fact of the notebook. Only the ringing itself (when it last sounded, how often)
//! lives here, and dies with the process: after a restart, whatever nobody answered rings again.

use super::batch::{Answer, Batch};
use super::entry::AlarmId;
use super::forecast::{BatchForecast, StageForecast};
use super::notice::Urgency;
use crate::material::Stage;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;

/// An alarm that fell due this long before it could be heard counts as missed rather than as ringing on time.
const MISSED_AFTER: SignedDuration = SignedDuration::from_secs(60);
/// Woken this much later than it asked for, the bench was asleep with its machine: the lid was shut.
const ASLEEP_AFTER: SignedDuration = SignedDuration::from_mins(10);
/// A ringing alarm whose forecast moves later by less than this keeps ringing: it would only stutter.
const STUTTER: SignedDuration = SignedDuration::from_secs(120);

/// Where an alarm stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlarmState {
    /// Rings at `due`.
    Pending,
    /// Rings until somebody answers. `missed`: it fell due while the bench was closed, or the machine slept.
    Sounding { missed: bool },
    /// Rings again at `until`.
    Snoozed { until: Timestamp },
    /// Answered.
    Acknowledged { at: Timestamp },
}

/// One alarm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Alarm {
    pub id: AlarmId,
    pub due: Timestamp,
    pub urgency: Urgency,
    pub state: AlarmState,
}

impl Alarm {
    /// When it rings next, or since when it has been due.
    pub fn target(&self) -> Timestamp {
        match self.state {
            AlarmState::Snoozed { until } => until.max(self.due),
            _ => self.due,
        }
    }
}

/// How much the alarm of a stage matters.
pub fn urgency(stage: Stage) -> Urgency {
    match stage {
        Stage::NextLayerOpens | Stage::NextLayerCloses => Urgency::Critical,
        Stage::PotLife | Stage::Gel | Stage::Demould => Urgency::Normal,
        Stage::TackFree | Stage::FullCure => Urgency::Low,
    }
}

/// How long a ringing alarm waits before it rings again.
fn repeat_every(urgency: Urgency) -> SignedDuration {
    match urgency {
        Urgency::Critical => SignedDuration::from_mins(1),
        Urgency::Normal => SignedDuration::from_mins(2),
        Urgency::Low => SignedDuration::from_mins(30),
    }
}

#[derive(Debug, Clone, Copy)]
struct Rung {
    last: Timestamp,
    /// The latest moment it is known to have been due at: a clock set back does not undo that.
    due_by: Timestamp,
    count: u32,
    missed: bool,
}

/// Every alarm of the bench, and which of them have rung.
#[derive(Debug, Clone)]
pub(super) struct AlarmBook {
    /// Since when the alarms could be heard.
    awake_since: Timestamp,
    alarms: Vec<Alarm>,
    rung: BTreeMap<AlarmId, Rung>,
}

/// What changed with the ringing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sound {
    /// Ring now, for the `count`-th time.
    Ring { alarm: AlarmId, count: u32 },
    /// Stop ringing: answered, or no longer due.
    Hush(AlarmId),
}

impl AlarmBook {
    pub fn new(opened: Timestamp) -> Self {
        Self { awake_since: opened, alarms: Vec::new(), rung: BTreeMap::new() }
    }

    /// Notes that the bench asked to be woken at `expected`, and it is `now`.
    pub fn woken(&mut self, expected: Timestamp, now: Timestamp) {
        if now >= expected + ASLEEP_AFTER {
            self.awake_since = now;
        }
    }

    /// All alarms: the sounding ones first, the more urgent before the less, then by when they are due.
    pub fn alarms(&self) -> &[Alarm] {
        &self.alarms
    }

    /// Brings the book up to `now` and says what has to sound or fall silent.
    pub fn refresh<'a>(
        &mut self,
        batches: impl Iterator<Item = (&'a Batch, Option<&'a BatchForecast>)>,
        now: Timestamp,
    ) -> Vec<Sound> {
        self.alarms.clear();
        for (batch, forecast) in batches {
            for stage in forecast.map(|f| f.stages.as_slice()).unwrap_or_default() {
                if let Some(alarm) = self.alarm(batch, stage, now) {
                    self.alarms.push(alarm);
                }
            }
        }
        self.alarms.sort_by_key(|a| {
            let sounding = matches!(a.state, AlarmState::Sounding { .. });
            (!sounding, std::cmp::Reverse(sounding.then_some(a.urgency)), a.target(), a.id)
        });
        self.sound(now)
    }

    /// The alarm of one stage, unless there is nothing to ring for.
    fn alarm(&self, batch: &Batch, stage: &StageForecast, now: Timestamp) -> Option<Alarm> {
        let id = AlarmId { batch: batch.id, stage: stage.stage };
        // A covered layer has nothing left to ask of anybody: the layer on top of it rings for the whole piece.
        if stage.reached_at.is_some() || batch.covered_by.is_some() {
            return None;
        }
        // A chance that ends is announced at the early edge of its band, one that begins when it is likely there.
        let due = if stage.stage.is_deadline() { stage.band.early? } else { stage.band.likely? };
        let state = match batch.answer(stage.stage).map(|a| (a.answer, a.at)) {
            Some((Answer::Acknowledged, at)) => AlarmState::Acknowledged { at },
            Some((Answer::SnoozedUntil(until), _)) if until > now => AlarmState::Snoozed { until },
            Some((Answer::SnoozedUntil(until), _)) => self.ringing(id, due.max(until), now),
            None => self.ringing(id, due, now),
        };
        Some(Alarm { id, due, urgency: urgency(stage.stage), state })
    }

    /// The state of an unanswered alarm that was to ring at `due`.
    fn ringing(&self, id: AlarmId, due: Timestamp, now: Timestamp) -> AlarmState {
        match self.rung.get(&id) {
            Some(rung) if due <= now.max(rung.due_by) + STUTTER => AlarmState::Sounding { missed: rung.missed },
            _ if due <= now => AlarmState::Sounding { missed: due + MISSED_AFTER <= self.awake_since },
            _ => AlarmState::Pending,
        }
    }

    fn sound(&mut self, now: Timestamp) -> Vec<Sound> {
        let mut sounds = Vec::new();
        let sounding: BTreeMap<AlarmId, (Urgency, bool)> = self
            .alarms
            .iter()
            .filter_map(|a| match a.state {
                AlarmState::Sounding { missed } => Some((a.id, (a.urgency, missed))),
                _ => None,
            })
            .collect();
        self.rung.retain(|id, _| {
            let goes_on = sounding.contains_key(id);
            if !goes_on {
                sounds.push(Sound::Hush(*id));
            }
            goes_on
        });
        for (&alarm, &(urgency, missed)) in &sounding {
            let rung = self.rung.get(&alarm);
            // A clock set back must not silence an alarm until it has caught up.
            let wait_over = |r: &Rung| now >= r.last + repeat_every(urgency) || now < r.last;
            if rung.is_none_or(wait_over) {
                let count = rung.map_or(1, |r| r.count.saturating_add(1));
                let due_by = rung.map_or(now, |r| r.due_by.max(now));
                self.rung.insert(alarm, Rung { last: now, due_by, count, missed });
                sounds.push(Sound::Ring { alarm, count });
            }
        }
        sounds
    }

    /// The next moment at which something has to sound, if nothing changes before.
    pub fn next_sound(&self) -> Option<Timestamp> {
        self.alarms
            .iter()
            .filter_map(|a| match a.state {
                AlarmState::Pending => Some(a.due),
                AlarmState::Snoozed { .. } => Some(a.target()),
                AlarmState::Sounding { .. } => self.rung.get(&a.id).map(|r| r.last + repeat_every(a.urgency)),
                AlarmState::Acknowledged { .. } => None,
            })
            .min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::entry::{BatchId, Entry, Seen};
    use crate::bench::forecast::forecast;
    use crate::bench::log::Log;
    use crate::bench::testing::{Story, at, at_second};

    /// Polyester of common practice at its own 20 °C, mixed at minute 0: gel likely at 30 min, next layer at 55 min.
    fn layer() -> Story {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        story
    }

    fn alarm(stage: Stage) -> AlarmId {
        AlarmId { batch: BatchId(1), stage }
    }

    fn refresh(book: &mut AlarmBook, log: &Log, now: Timestamp) -> Vec<Sound> {
        let forecasts: Vec<_> = log.running().map(|b| (b, forecast(b, log.readings(), now))).collect();
        book.refresh(forecasts.iter().map(|(batch, forecast)| (*batch, forecast.as_ref())), now)
    }

    /// How often the alarm of `stage` rings when the book is looked at every second of `minutes`.
    fn rings(log: &Log, stage: Stage, minutes: std::ops::RangeInclusive<i64>) -> Vec<i64> {
        let mut book = AlarmBook::new(at(*minutes.start()));
        let mut heard = Vec::new();
        for second in minutes.start() * 60..=minutes.end() * 60 {
            let sounds = refresh(&mut book, log, at_second(second));
            let rang = sounds.iter().any(|s| matches!(s, Sound::Ring { alarm, .. } if alarm.stage == stage));
            heard.extend(rang.then_some(second));
        }
        heard
    }

    #[test]
    fn the_more_urgent_rings_the_more_often() {
        let log = layer().log();
        assert_eq!(rings(&log, Stage::Gel, 29..=35), [1800, 1920, 2040]);
        assert_eq!(rings(&log, Stage::NextLayerOpens, 54..=57), [3300, 3360, 3420]);
    }

    #[test]
    fn what_fell_due_before_anybody_listened_was_missed() {
        let log = layer().log();
        let mut book = AlarmBook::new(at(40));
        refresh(&mut book, &log, at(40));
        let state = |book: &AlarmBook, stage| book.alarms().iter().find(|a| a.id.stage == stage).map(|a| a.state);
        assert_eq!(state(&book, Stage::Gel), Some(AlarmState::Sounding { missed: true }));
        refresh(&mut book, &log, at(55));
        assert_eq!(state(&book, Stage::NextLayerOpens), Some(AlarmState::Sounding { missed: false }));
    }

    #[test]
    fn a_shut_lid_counts_as_not_listening() {
        let log = layer().log();
        let gel = |expected: i64, woken: i64| {
            let mut book = AlarmBook::new(at(20));
            refresh(&mut book, &log, at(20));
            book.woken(at(expected), at(woken));
            refresh(&mut book, &log, at(woken));
            book.alarms().iter().find(|a| a.id.stage == Stage::Gel).map(|a| a.state)
        };
        assert_eq!(gel(21, 29), Some(AlarmState::Pending));
        assert_eq!(gel(20, 30), Some(AlarmState::Sounding { missed: false }), "just in time");
        assert_eq!(gel(25, 34), Some(AlarmState::Sounding { missed: false }), "a busy machine may be late");
        assert_eq!(gel(21, 34), Some(AlarmState::Sounding { missed: true }));
    }

    #[test]
    fn a_clock_set_back_does_not_silence_what_rings() {
        let log = layer().log();
        let mut book = AlarmBook::new(at(0));
        let ring = |count| Sound::Ring { alarm: alarm(Stage::Gel), count };
        let gel = |sounds: Vec<Sound>| {
            let about = |s: &Sound| match s {
                Sound::Ring { alarm, .. } | Sound::Hush(alarm) => alarm.stage == Stage::Gel,
            };
            sounds.into_iter().filter(about).collect::<Vec<_>>()
        };
        assert_eq!(gel(refresh(&mut book, &log, at(30))), [ring(1)]);
        assert_eq!(gel(refresh(&mut book, &log, at(-29))), [ring(2)], "an hour less a minute back");
        assert_eq!(gel(refresh(&mut book, &log, at(-28))), []);
        assert_eq!(gel(refresh(&mut book, &log, at(-27))), [ring(3)]);
    }

    #[test]
    fn a_forecast_that_wavers_does_not_make_it_stutter() {
        let mut story = layer();
        let mut book = AlarmBook::new(at(0));
        refresh(&mut book, &story.log(), at(30));
        // 30 min at 20 °C were enough; 0.4 °C less over half the time lets 0.2 min be missing, 8 °C less 6 min.
        story.read(29, 19.6);
        assert_eq!(refresh(&mut book, &story.log(), at(30)), []);
        story.read(30, 12.0);
        let hushed = refresh(&mut book, &story.log(), at(30));
        assert!(hushed.contains(&Sound::Hush(alarm(Stage::Gel))), "{hushed:?}");
    }

    #[test]
    fn a_snoozed_alarm_waits_for_its_time_and_an_acknowledged_one_for_nothing() {
        let mut story = layer();
        story.write(31, Entry::Snoozed { alarm: alarm(Stage::Gel), until: at(40) });
        let snoozed = story.log();
        let mut book = AlarmBook::new(at(0));
        refresh(&mut book, &snoozed, at(31));
        assert!(book.alarms().iter().any(|a| a.state == AlarmState::Snoozed { until: at(40) }));
        assert_eq!(rings(&snoozed, Stage::Gel, 31..=41), [2400]);
        let mut opened_later = AlarmBook::new(at(35));
        refresh(&mut opened_later, &snoozed, at(40));
        let heard = opened_later.alarms().iter().find(|a| a.id == alarm(Stage::Gel)).map(|a| a.state);
        assert_eq!(heard, Some(AlarmState::Sounding { missed: false }), "it had been heard, and answered");
        story.write(32, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
        assert_eq!(rings(&story.log(), Stage::Gel, 31..=120), Vec::<i64>::new());
        story.see(33, BatchId(1), Stage::Gel, Seen::NotYet { at: at(33) });
        assert_ne!(rings(&story.log(), Stage::Gel, 31..=60), Vec::<i64>::new(), "not yet asks again");
    }

    #[test]
    fn the_first_alarm_is_the_one_to_see_to() {
        let log = layer().log();
        let mut book = AlarmBook::new(at(0));
        refresh(&mut book, &log, at(56));
        let first: Vec<Stage> = book.alarms().iter().map(|a| a.id.stage).collect();
        // The open layer is urgent; pot life and gel ring too, the older first; then what is still to come.
        assert_eq!(first[..4], [Stage::NextLayerOpens, Stage::PotLife, Stage::Gel, Stage::NextLayerCloses]);
    }
}

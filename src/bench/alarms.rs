//! Alarms: what is due, what rings, what was answered.
//!
//! Whether an alarm is answered is a fact of the notebook. Only the ringing itself (when it last sounded, how often)
//! lives here, and dies with the process: after a restart, whatever nobody answered rings again.

use super::batch::{AlarmAnswer, Answer, Batch};
use super::entry::{AlarmId, BatchId, EntryId};
use super::forecast::{BatchForecast, StageForecast};
use super::notice::Urgency;
use crate::material::Stage;
use jiff::{SignedDuration, Timestamp};
use std::collections::{BTreeMap, BTreeSet};

/// An alarm that fell due this long before it could be heard counts as missed rather than as ringing on time.
const MISSED_AFTER: SignedDuration = SignedDuration::from_secs(60);
/// Woken this much later than it asked for, the bench was asleep with its machine: the lid was shut.
const ASLEEP_AFTER: SignedDuration = SignedDuration::from_mins(10);
/// A ringing alarm whose forecast moves later by less than this keeps ringing: it would only stutter.
const STUTTER: SignedDuration = SignedDuration::from_secs(120);

/// An answer counts for an alarm that fell due this long after it: the forecast wavered. One that moved further asks
/// again.
const GOOD_FOR: SignedDuration = SignedDuration::from_mins(5);

/// What an alarm is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// Its stage is due.
    StageDue,
    /// Its stage will not come: the bench is too cold, and the clock stands.
    ClockStands,
}

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
    pub reason: Reason,
    pub due: Timestamp,
    pub urgency: Urgency,
    pub state: AlarmState,
}

impl Alarm {
    /// What it is about, in few words.
    pub fn words(&self) -> &'static str {
        match self.reason {
            Reason::StageDue => self.id.stage.words(),
            Reason::ClockStands => "clock stands",
        }
    }

    pub fn is_sounding(&self) -> bool {
        matches!(self.state, AlarmState::Sounding { .. })
    }

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

/// When the alarm of a stage is due: a chance that ends is announced at the early edge of its band, one that begins when
/// it is likely there. `None` where it will not come.
fn due(stage: &StageForecast) -> Option<Timestamp> {
    stage.band.likely.and(if stage.stage.is_deadline() { stage.band.early } else { stage.band.likely })
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
    /// The answer there was when it began to ring, which did not count: only a newer one silences it.
    stale: Option<EntryId>,
}

/// Every alarm of the bench, and which of them have rung.
#[derive(Debug, Clone)]
pub(super) struct AlarmBook {
    /// Since when the alarms could be heard.
    awake_since: Timestamp,
    alarms: Vec<Alarm>,
    rung: BTreeMap<AlarmId, Rung>,
    /// Answers given while an alarm rang, and the moment it was known to be due at: later than the answer's own time
    /// where the clock was set back meanwhile.
    heard: BTreeMap<AlarmId, (EntryId, Timestamp)>,
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
        Self { awake_since: opened, alarms: Vec::new(), rung: BTreeMap::new(), heard: BTreeMap::new() }
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

    /// Brings the book up to `now` and says what has to sound or fall silent. Nobody waits for the next-layer
    /// window of the batches in `unawaited`.
    pub fn refresh<'a>(
        &mut self,
        batches: impl Iterator<Item = (&'a Batch, Option<&'a BatchForecast>)>,
        unawaited: &BTreeSet<BatchId>,
        now: Timestamp,
    ) -> Vec<Sound> {
        self.alarms.clear();
        let mut newest = BTreeMap::new();
        for (batch, forecast) in batches {
            self.hear(batch, &mut newest);
            // A covered layer has nothing left to ask of anybody: the layer on top of it rings for the whole piece.
            if let Some(forecast) = forecast.filter(|_| batch.covered_by.is_none()) {
                let awaited = |s: &&StageForecast| {
                    s.reached_at.is_none() && !(s.stage.is_next_layer() && unawaited.contains(&batch.id))
                };
                let stages: Vec<&StageForecast> = forecast.stages.iter().filter(awaited).collect();
                let due = stages.iter().filter_map(|stage| self.stage_due(batch, forecast, stage, now));
                let found: Vec<Alarm> = due.chain(self.clock_stands(batch, forecast, &stages, now)).collect();
                self.alarms.extend(found);
            }
        }
        self.alarms.sort_by_key(|a| {
            let sounding = a.is_sounding();
            (!sounding, std::cmp::Reverse(sounding.then_some(a.urgency)), a.target(), a.id)
        });
        self.sound(&newest, now)
    }

    /// Takes in the answers given while their alarms rang; adds the newest answer to each alarm to `newest`.
    fn hear(&mut self, batch: &Batch, newest: &mut BTreeMap<AlarmId, EntryId>) {
        for stage in Stage::ALL {
            let id = AlarmId { batch: batch.id, stage };
            let Some(answer) = batch.answer(stage) else { continue };
            newest.insert(id, answer.entry);
            if let Some(rung) = self.rung.get(&id).filter(|r| r.stale.is_none_or(|stale| answer.entry > stale)) {
                self.heard.insert(id, (answer.entry, rung.due_by));
            }
        }
    }

    /// The alarm of a stage that will come.
    fn stage_due(
        &self,
        batch: &Batch,
        forecast: &BatchForecast,
        stage: &StageForecast,
        now: Timestamp,
    ) -> Option<Alarm> {
        let due = due(stage)?;
        // What is over is worth knowing, and no more.
        let over = match stage.stage {
            Stage::PotLife => stage.band.late.is_some_and(|late| late <= now),
            Stage::NextLayerOpens => forecast.window_is_over(now),
            _ => false,
        };
        let urgency = if over { Urgency::Low } else { urgency(stage.stage) };
        Some(self.alarm(batch, stage.stage, Reason::StageDue, due, urgency, now))
    }

    /// One alarm for all stages of a batch that will not come: somebody counts on them. It matters as much as the one
    /// among them that matters most.
    fn clock_stands(
        &self,
        batch: &Batch,
        forecast: &BatchForecast,
        awaited: &[&StageForecast],
        now: Timestamp,
    ) -> Option<Alarm> {
        let since = forecast.stands_since?;
        let mut lost = awaited.iter().filter(|s| due(s).is_none()).map(|s| s.stage);
        let first = lost.next()?;
        let urgency = lost.map(urgency).fold(urgency(first), Ord::max);
        Some(self.alarm(batch, first, Reason::ClockStands, since, urgency, now))
    }

    fn alarm(
        &self,
        batch: &Batch,
        stage: Stage,
        reason: Reason,
        due: Timestamp,
        urgency: Urgency,
        now: Timestamp,
    ) -> Alarm {
        let id = AlarmId { batch: batch.id, stage };
        let answered_at = |a: &AlarmAnswer| match self.heard.get(&id) {
            Some((entry, known_due)) if *entry == a.entry => a.at.max(*known_due),
            _ => a.at,
        };
        let answer =
            batch.answer(stage).filter(|a| answered_at(a).saturating_add(GOOD_FOR).is_ok_and(|until| until >= due));
        let state = match answer.map(|a| (a.answer, a.at)) {
            Some((Answer::Acknowledged, at)) => AlarmState::Acknowledged { at },
            Some((Answer::SnoozedUntil(until), _)) if until > now => AlarmState::Snoozed { until },
            Some((Answer::SnoozedUntil(until), _)) => self.ringing(id, due.max(until), now),
            None => self.ringing(id, due, now),
        };
        Alarm { id, reason, due, urgency, state }
    }

    /// The state of an unanswered alarm that was to ring at `due`.
    fn ringing(&self, id: AlarmId, due: Timestamp, now: Timestamp) -> AlarmState {
        match self.rung.get(&id) {
            Some(rung) if due <= now.max(rung.due_by) + STUTTER => AlarmState::Sounding { missed: rung.missed },
            _ if due <= now => AlarmState::Sounding { missed: due + MISSED_AFTER <= self.awake_since },
            _ => AlarmState::Pending,
        }
    }

    fn sound(&mut self, newest: &BTreeMap<AlarmId, EntryId>, now: Timestamp) -> Vec<Sound> {
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
                let stale = rung.map_or(newest.get(&alarm).copied(), |r| r.stale);
                self.rung.insert(alarm, Rung { last: now, due_by, count, missed, stale });
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
    use crate::bench::entry::{Entry, Seen};
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
        let forecasts: Vec<_> = log.running().map(|b| (b, forecast(b, log.readings(), None, now))).collect();
        book.refresh(forecasts.iter().map(|(batch, forecast)| (*batch, forecast.as_ref())), &BTreeSet::new(), now)
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
        // A mistaken 14 °C, where the clock still runs, moves it well away.
        story.read(20, 14.0);
        let hushed = refresh(&mut book, &story.log(), at(30));
        assert!(hushed.contains(&Sound::Hush(alarm(Stage::Gel))), "{hushed:?}");
    }

    #[test]
    fn a_clock_that_stands_rings_once_for_all_its_stages_and_lets_them_ring_when_it_runs() {
        let mut story = layer();
        let mut book = AlarmBook::new(at(0));
        refresh(&mut book, &story.log(), at(9));
        story.read(9, 20.0);
        story.read(10, 6.0);
        // From 20 to 6 °C in a minute: the floor of 13 °C is passed half-way.
        refresh(&mut book, &story.log(), at(10));
        let standing: Vec<Alarm> = book.alarms().iter().filter(|a| a.reason == Reason::ClockStands).copied().collect();
        assert_eq!(standing.len(), 1);
        assert_eq!((standing[0].due, standing[0].urgency), (at_second(570), Urgency::Critical));
        assert_eq!(standing[0].state, AlarmState::Sounding { missed: false });
        story.write(11, Entry::Acknowledged { alarm: standing[0].id });
        refresh(&mut book, &story.log(), at(11));
        assert!(book.alarms().iter().all(|a| !matches!(a.state, AlarmState::Sounding { .. })), "{:?}", book.alarms());
        // Warm again: what was acknowledged is not the stage, which is still to come.
        story.read(60, 20.0);
        refresh(&mut book, &story.log(), at(60));
        assert!(book.alarms().iter().all(|a| a.reason == Reason::StageDue));
        let pot = book.alarms().iter().find(|a| a.id == standing[0].id);
        assert!(pot.is_some_and(|a| !matches!(a.state, AlarmState::Acknowledged { .. })), "{pot:?}");
    }

    #[test]
    fn taking_an_answer_back_does_not_bring_an_older_one_to_life() {
        let mut story = layer();
        story.write(1, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
        let second = story.write(2, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
        let mut book = AlarmBook::new(at(0));
        let rings = |sounds: Vec<Sound>| sounds.contains(&Sound::Ring { alarm: alarm(Stage::Gel), count: 1 });
        assert!(rings(refresh(&mut book, &story.log(), at(30))), "both came long before it was due");
        story.undo(30, second);
        refresh(&mut book, &story.log(), at(30));
        let gel = book.alarms().iter().find(|a| a.id.stage == Stage::Gel).map(|a| a.state);
        assert_eq!(gel, Some(AlarmState::Sounding { missed: false }));
    }

    #[test]
    fn an_answer_given_before_the_alarm_moved_away_does_not_count_for_it() {
        let mut story = layer();
        story.write(30, Entry::Acknowledged { alarm: alarm(Stage::Gel) });
        assert_eq!(rings(&story.log(), Stage::Gel, 30..=60), Vec::<i64>::new());
        // Much colder than thought since minute 20: the gel is far off again, and rings when it comes.
        story.read(19, 20.0);
        story.read(20, 14.0);
        assert_ne!(rings(&story.log(), Stage::Gel, 31..=90), Vec::<i64>::new());
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
        // The open layer is urgent; the gel rings too, and last the cup that has set; then what is still to come.
        assert_eq!(first[..4], [Stage::NextLayerOpens, Stage::Gel, Stage::PotLife, Stage::NextLayerCloses]);
    }
}

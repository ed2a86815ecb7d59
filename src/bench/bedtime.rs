//! What somebody counted on when they went to bed, and what the forecast has made of it since.

use super::alarm_id::AlarmId;
use super::alarms::{Alarm, AlarmState};
use super::entry::{Entry, EntryId, NewEntry};
use super::tie::later;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

/// An alarm that has moved by more than this against what was promised is worth an entry.
const MOVED: SignedDuration = SignedDuration::from_mins(15);

/// When an alarm was to ring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Promise {
    pub alarm: AlarmId,
    pub due: Timestamp,
}

/// What was promised last.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Bedtime {
    pub at: Option<Timestamp>,
    entry: Option<EntryId>,
    promised: Vec<Promise>,
}

impl Bedtime {
    pub fn begin(&mut self, entry: EntryId, at: Timestamp, promised: &[Promise]) {
        *self = Self { at: Some(at), entry: Some(entry), promised: promised.to_vec() };
    }

    /// Takes in that an alarm has moved: from here on it is promised for then.
    pub fn moved(&mut self, alarm: AlarmId, to: Timestamp) {
        for promise in self.promised.iter_mut().filter(|promise| promise.alarm == alarm) {
            promise.due = to;
        }
    }

    /// The clock was set forward by so much, for what was told after the entry `after`.
    pub fn shift(&mut self, by: SignedDuration, after: EntryId) {
        if self.entry.is_none_or(|entry| entry <= after) {
            return;
        }
        self.at = self.at.map(|at| later(at, by));
        for promise in &mut self.promised {
            promise.due = later(promise.due, by);
        }
    }

    /// What has moved since, as entries of `now`.
    pub fn moves(&self, alarms: &[Alarm], now: Timestamp) -> Vec<NewEntry> {
        let moved = |promise: &Promise| {
            let alarm = alarms.iter().find(|alarm| alarm.id == promise.alarm && alarm.state == AlarmState::Pending)?;
            let apart = alarm.due.duration_since(promise.due).abs();
            let entry = Entry::Moved { alarm: alarm.id, from: promise.due, to: alarm.due };
            (apart > MOVED).then_some(NewEntry { happened: now, entry })
        };
        self.promised.iter().filter_map(moved).collect()
    }
}

/// What may be promised of `alarms`: what is still to ring, and may wake somebody.
pub(super) fn promises(alarms: &[Alarm]) -> Vec<Promise> {
    let pending = alarms.iter().filter(|alarm| alarm.state == AlarmState::Pending && alarm.wakes && alarm.is_open());
    pending.map(|alarm| Promise { alarm: alarm.id, due: alarm.due }).collect()
}

#[cfg(test)]
mod tests {
    use crate::bench::testing::{Story, at};
    use crate::bench::{AlarmId, AlarmRules, BatchId, Bench, Command, Entry, Event};
    use crate::material::{Catalogue, Stage};
    use jiff::{SignedDuration, Timestamp, tz::TimeZone};

    fn opened(story: &Story, minute: i64) -> Bench {
        let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, at(minute)).with_rules(AlarmRules::default());
        bench.handle(Event::Entries(story.entries().to_vec()), at(minute));
        bench
    }

    fn goes_to_bed(story: &mut Story, minute: i64) {
        let Command::Bedtime { promised } = opened(story, minute).bedtime() else { panic!("bedtime is bedtime") };
        story.write(minute, Entry::Bedtime { promised });
    }

    /// What has moved by `minute`: earlier or later, and whether the alarm itself is due when it says.
    fn moved(story: &Story, minute: i64) -> Vec<(Stage, bool)> {
        let bench = opened(story, minute);
        let told = |new: &super::NewEntry| {
            let Entry::Moved { alarm, from, to } = &new.entry else { panic!("{new:?}") };
            assert!(bench.alarms().iter().any(|a| a.id == *alarm && a.due == *to));
            (alarm.stage().unwrap(), to < from)
        };
        bench.moves(at(minute)).iter().map(told).collect()
    }

    #[test]
    fn a_colder_night_comes_later_and_a_warmer_one_earlier_and_both_are_told_once() {
        for (celsius, earlier) in [(15.0, false), (24.0, true)] {
            let mut story = Story::at_20_c();
            story.mix(0, "clear-polyester");
            goes_to_bed(&mut story, 5);
            assert_eq!(moved(&story, 6), []);
            // 55 min at 20 °C: next layer opens; a quarter of an hour is far.
            story.read(7, celsius);
            let told = moved(&story, 7);
            assert!(told.contains(&(Stage::NextLayerCloses, earlier)), "{celsius}: {told:?}");
            for new in opened(&story, 7).moves(at(7)) {
                story.write(7, new.entry);
            }
            assert_eq!(moved(&story, 7), [], "told once");
        }
    }

    #[test]
    fn a_small_move_and_one_of_what_wakes_nobody_are_not_told() {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        goes_to_bed(&mut story, 5);
        story.read(7, 19.7);
        assert!(moved(&story, 7).iter().all(|(stage, _)| *stage == Stage::NextLayerCloses), "{:?}", moved(&story, 7));
        // Gel and demould wait for the morning, so nobody was promised them.
        story.read(8, 15.0);
        assert!(moved(&story, 8).iter().all(|(stage, _)| stage.is_next_layer()), "{:?}", moved(&story, 8));
    }

    #[test]
    fn a_clock_that_is_set_moves_nothing_away_from_its_promise() {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        goes_to_bed(&mut story, 5);
        let set = Entry::ClockSet { by_us: 3_600_000_000, after: crate::bench::EntryId(0) };
        story.write(70, set);
        assert_eq!(moved(&story, 71), []);
    }

    #[test]
    fn an_alarm_that_moved_rings_when_it_is_due_by_then() {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        goes_to_bed(&mut story, 5);
        story.read(7, 24.0);
        let bench = opened(&story, 8);
        let opens = AlarmId::of(BatchId(1), Stage::NextLayerOpens);
        let due = bench.alarms().iter().find(|a| a.id == opens).unwrap().due;
        assert!(due < at(55), "{due}");
        let mut bench = bench;
        let rang = |bench: &mut Bench, now: Timestamp| {
            bench.handle(Event::Tick, now);
            bench.alarms().iter().any(|a| a.id == opens && a.is_sounding())
        };
        assert!(!rang(&mut bench, due - SignedDuration::from_secs(1)) && rang(&mut bench, due));
    }
}

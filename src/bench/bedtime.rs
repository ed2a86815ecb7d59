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

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

/// An alarm that fell due this long before the bench was opened counts as missed rather than as ringing on time.
const MISSED_AFTER: SignedDuration = SignedDuration::from_secs(60);
/// A ringing alarm whose forecast moves later by less than this keeps ringing: it would only stutter.
const STUTTER: SignedDuration = SignedDuration::from_secs(120);

/// Where an alarm stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlarmState {
    /// Rings at `due`.
    Pending,
    /// Rings until somebody answers. `missed`: it fell due while nobody had the bench open.
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
    count: u32,
    missed: bool,
}

/// Every alarm of the bench, and which of them have rung.
#[derive(Debug, Clone)]
pub(super) struct AlarmBook {
    opened: Timestamp,
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
        Self { opened, alarms: Vec::new(), rung: BTreeMap::new() }
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
            (!sounding, std::cmp::Reverse(sounding.then_some(a.urgency)), a.due, a.id)
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
            _ => self.ringing(id, due, now),
        };
        Some(Alarm { id, due, urgency: urgency(stage.stage), state })
    }

    fn ringing(&self, id: AlarmId, due: Timestamp, now: Timestamp) -> AlarmState {
        match self.rung.get(&id) {
            Some(rung) if due <= now + STUTTER => AlarmState::Sounding { missed: rung.missed },
            _ if due <= now => AlarmState::Sounding { missed: due + MISSED_AFTER <= self.opened },
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
                self.rung.insert(alarm, Rung { last: now, count, missed });
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
                AlarmState::Snoozed { until } => Some(until.max(a.due)),
                AlarmState::Sounding { .. } => self.rung.get(&a.id).map(|r| r.last + repeat_every(a.urgency)),
                AlarmState::Acknowledged { .. } => None,
            })
            .min()
    }
}

//! Alarms: what is due, what rings, what was answered.
//!
//! Whether an alarm is answered is a fact of the notebook. Only the ringing itself (when it last sounded, how often)
//! lives in the [`book`], and dies with the process: after a restart, whatever nobody answered rings again.

mod book;
#[cfg(test)]
mod tests;

pub(super) use book::{AlarmBook, Bearing, Sound};

use super::alarm_id::{AlarmId, Phase};
use super::forecast::StageForecast;
use super::notice::Urgency;
use crate::material::Stage;
use jiff::{SignedDuration, Timestamp};

/// What an alarm is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Reason {
    /// Its stage is due, comes soon, or has passed unused, by the alarm's phase.
    StageDue,
    /// Its stage will not come: the bench is too cold, and the clock stands.
    ClockStands,
    /// A place is not read any more.
    Silent,
}

/// Where an alarm stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlarmState {
    /// Rings at `due`.
    Pending,
    /// Rings until somebody answers. `missed`: it fell due while the bench was closed, or the machine slept.
    Sounding { missed: bool },
    /// Due, and nothing to wake anybody for: rings at `until`, when the quiet hours are over.
    Resting { until: Timestamp },
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
    /// Whether it may wake somebody.
    pub wakes: bool,
}

impl Alarm {
    /// What it is about, in few words.
    pub fn words(&self) -> &'static str {
        match (self.reason, self.id.phase(), self.id.stage()) {
            (Reason::ClockStands, ..) => "clock stands",
            (Reason::StageDue, Phase::Ahead, Some(Stage::NextLayerOpens)) => "next layer soon",
            (Reason::StageDue, Phase::Ahead, Some(Stage::NextLayerCloses)) => "window closes soon",
            (Reason::StageDue, Phase::Missed, _) => "window missed",
            (Reason::StageDue, _, Some(stage)) => stage.words(),
            (Reason::Silent, ..) | (_, _, None) => "no readings",
        }
    }

    pub fn is_sounding(&self) -> bool {
        matches!(self.state, AlarmState::Sounding { .. })
    }

    pub fn is_acknowledged(&self) -> bool {
        matches!(self.state, AlarmState::Acknowledged { .. })
    }

    /// Whether somebody should see it coming: nobody answered it, and it is more than a word ahead of another, or what
    /// becomes of one that is let pass.
    pub fn is_open(&self) -> bool {
        let own = match self.id.phase() {
            Phase::Ahead => false,
            Phase::Due => true,
            Phase::Missed => self.state != AlarmState::Pending,
        };
        own && !self.is_acknowledged()
    }

    /// When it rings next, or since when it has been due.
    pub fn target(&self) -> Timestamp {
        match self.state {
            AlarmState::Snoozed { until } | AlarmState::Resting { until } => until.max(self.due),
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

/// How long a ringing alarm waits before it rings again; `None`: once is enough.
fn repeat_every(alarm: &Alarm) -> Option<SignedDuration> {
    match (alarm.id.phase(), alarm.urgency) {
        // What it announces rings for itself.
        (Phase::Ahead, _) => None,
        (_, Urgency::Critical) => Some(SignedDuration::from_mins(1)),
        (_, Urgency::Normal) => Some(SignedDuration::from_mins(2)),
        (_, Urgency::Low) => Some(SignedDuration::from_mins(30)),
    }
}

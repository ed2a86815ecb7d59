//! What the bench wants somebody to be told, before any channel has a hand in it.

use super::alarm_id::{AlarmId, Phase};
use super::alarms::Alarm;
use crate::text::PlainText;
use jiff::Timestamp;

/// How hard a notice should try to be noticed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Urgency {
    /// Good to know; may be read in the morning.
    Low,
    /// Due soon.
    Normal,
    /// Due now: wake somebody, and stay until answered.
    Critical,
}

/// How loudly a notice is told: it rises until somebody answers.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Insistence {
    /// A word ahead, or what may be read in the morning.
    Quiet,
    Plain,
    Firm,
    Loud,
    /// As loud as it gets.
    Utmost,
}

impl Insistence {
    /// That of the `count`-th ring of `alarm`.
    pub(super) fn of(alarm: &Alarm, count: u32) -> Self {
        match (alarm.id.phase(), alarm.urgency, count) {
            (Phase::Ahead, ..) | (_, Urgency::Low, _) => Insistence::Quiet,
            (_, _, 0..=1) => Insistence::Plain,
            (_, _, 2..=3) => Insistence::Firm,
            (_, _, 4..=6) => Insistence::Loud,
            _ => Insistence::Utmost,
        }
    }

    /// 0 to 1, in even steps.
    pub fn share(self) -> f64 {
        match self {
            Insistence::Quiet => 0.0,
            Insistence::Plain => 0.25,
            Insistence::Firm => 0.5,
            Insistence::Loud => 0.75,
            Insistence::Utmost => 1.0,
        }
    }
}

/// One telling of one alarm; a later notice of the same alarm takes its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    pub alarm: AlarmId,
    pub urgency: Urgency,
    pub insistence: Insistence,
    /// Whether it is told for the first time since the bench was opened.
    pub first: bool,
    /// When it fell, or falls, due.
    pub due: Timestamp,
    pub headline: PlainText,
    pub detail: PlainText,
}

//! What the bench wants somebody to be told, before any channel has a hand in it.

use super::AlarmId;
use crate::text::PlainText;

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

/// One telling of one alarm; a later notice of the same alarm takes its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Notice {
    pub alarm: AlarmId,
    pub urgency: Urgency,
    pub headline: PlainText,
    pub detail: PlainText,
}

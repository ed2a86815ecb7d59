//! What happens, and when.

use crate::bench::Command;
use jiff::{Timestamp, tz::TimeZone};
use std::collections::VecDeque;

/// One thing that happens at the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub at: Timestamp,
    pub command: Command,
}

/// A night to be played.
#[derive(Debug, Clone, PartialEq)]
pub struct Script {
    pub title: String,
    pub zone: TimeZone,
    pub starts: Timestamp,
    pub ends: Timestamp,
    steps: VecDeque<Step>,
}

impl Script {
    /// A script of `steps`, which are put in order of time.
    pub fn new(title: String, zone: TimeZone, starts: Timestamp, ends: Timestamp, mut steps: Vec<Step>) -> Self {
        steps.sort_by_key(|step| step.at);
        Self { title, zone, starts, ends, steps: steps.into() }
    }

    /// Adds more steps among those there.
    #[must_use]
    pub fn with(self, more: impl IntoIterator<Item = Step>) -> Self {
        let steps = more.into_iter().chain(self.steps).collect();
        Self::new(self.title, self.zone, self.starts, self.ends, steps)
    }

    /// Whether the night has ended at `now`.
    pub fn is_over(&self, now: Timestamp) -> bool {
        now >= self.ends
    }

    /// When the next step is due.
    pub fn next(&self) -> Option<Timestamp> {
        self.steps.front().map(|step| step.at)
    }

    /// Takes the next step, if it is due at `now`.
    pub fn take_due(&mut self, now: Timestamp) -> Option<(Timestamp, Command)> {
        let due = self.steps.front().is_some_and(|step| step.at <= now);
        due.then(|| self.steps.pop_front()).flatten().map(|step| (step.at, step.command))
    }
}

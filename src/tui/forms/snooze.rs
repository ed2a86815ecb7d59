//! Let an alarm rest for some minutes.

use super::{
    Wrong,
    field::{Field, Fields},
};
use crate::bench::{AlarmId, Bench, Command, day_clock_words};
use crate::tui::theme::Role;
use jiff::{SignedDuration, Timestamp};

/// The longest rest, in minutes: half a day. Whoever wants longer acknowledges.
const LONGEST_MIN: i64 = 720;

#[derive(Debug, Clone)]
pub(in crate::tui) struct SnoozeForm {
    pub(super) fields: Fields,
    alarm: AlarmId,
    about: String,
}

impl SnoozeForm {
    /// `about` says in few words what rings.
    pub fn new(alarm: AlarmId, about: String) -> Self {
        Self { fields: Fields::new(vec![Field::text("for", "10", "minutes")]), alarm, about }
    }

    pub(super) fn title(&self) -> String {
        format!("snooze {}", self.about)
    }

    /// Until when it would rest.
    pub(super) fn notes(&self, bench: &Bench, now: Timestamp) -> Vec<(String, Role)> {
        match self.command(now) {
            Ok(Command::Snooze { until, .. }) => {
                vec![(format!("Rings again at {}", day_clock_words(until, now, bench.zone())), Role::Text)]
            }
            _ => Vec::new(),
        }
    }

    pub(super) fn command(&self, now: Timestamp) -> Result<Command, Wrong> {
        let text = self.fields.list[0].value();
        match text.trim_end_matches("min").trim().parse::<i64>() {
            Ok(minutes) if (1..=LONGEST_MIN).contains(&minutes) => {
                Ok(Command::Snooze { alarm: self.alarm, until: now + SignedDuration::from_mins(minutes) })
            }
            _ => Err((0, format!("'{text}' is not a number of minutes from 1 to {LONGEST_MIN}"))),
        }
    }
}

//! Which column is which time.

use crate::night::NightPlan;
use jiff::{SignedDuration, Timestamp};

/// Minutes a column may be worth: whole parts of an hour, or hours.
const STEPS: [i64; 11] = [5, 10, 15, 20, 30, 60, 120, 180, 240, 360, 720];

/// From now until the piece is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Scale {
    pub start: Timestamp,
    pub minutes: i64,
    pub columns: u16,
}

impl Scale {
    /// `None` where there is no room, or nothing to show.
    pub fn of(plan: &NightPlan, now: Timestamp, columns: u16) -> Option<Self> {
        let first = plan.first()?.at.min(now);
        let until = plan.finish.likely.max(plan.pours.last()?.at);
        if columns < 8 {
            return None;
        }
        let span = until.duration_since(first).as_mins().max(60);
        let fits = |minutes: &&i64| span / **minutes + 2 <= i64::from(columns);
        let minutes = *STEPS.iter().find(fits).unwrap_or(&STEPS[STEPS.len() - 1]);
        // Columns begin on whole steps, so that nothing shifts from minute to minute.
        let second = first.as_second();
        let start = Timestamp::from_second(second - second.rem_euclid(minutes * 60)).ok()?;
        Some(Self { start, minutes, columns })
    }

    /// When a column begins.
    pub fn at(&self, column: u16) -> Timestamp {
        self.start + SignedDuration::from_mins(self.minutes * i64::from(column))
    }

    /// The column a moment lies in; `None` outside.
    pub fn column(&self, at: Timestamp) -> Option<u16> {
        let minutes = at.duration_since(self.start).as_secs().div_euclid(60);
        let column = u16::try_from(minutes.div_euclid(self.minutes)).ok()?;
        (column < self.columns).then_some(column)
    }

    pub fn all(&self) -> impl Iterator<Item = (u16, Timestamp, Timestamp)> + use<'_> {
        (0..self.columns).map(|column| (column, self.at(column), self.at(column + 1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_moment_lies_in_its_column() {
        let start: Timestamp = "2026-03-02T19:00:00Z".parse().unwrap();
        let scale = Scale { start, minutes: 15, columns: 40 };
        let at = |minutes| start + SignedDuration::from_mins(minutes);
        assert_eq!([0, 14, 15, 599].map(|m| scale.column(at(m))), [Some(0), Some(0), Some(1), Some(39)]);
        assert_eq!([-1, 600].map(|m| scale.column(at(m))), [None, None]);
        assert_eq!(scale.at(4), at(60));
    }
}

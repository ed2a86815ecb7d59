//! The machine's clock held against the time since it was started, which nobody can set and which goes on through a suspend:
//! where their difference changes, the clock was set.
//!
//! The notebook keeps the difference. Whoever finds it changed writes down by how much, and everything written before then
//! counts as so much later (earlier, where the clock was set back): what has really passed since stays what it was, and no
//! deadline moves.

use super::entry::Seen;
use jiff::{SignedDuration, Timestamp};

/// A smaller change is the clock's own steering, or the moment between two looks.
const SET_BY_MORE_THAN: SignedDuration = SignedDuration::from_millis(1500);

/// What the machine's own count of the time shows.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UptimeClock {
    /// Which start of the machine this is: another one counts anew.
    pub boot: String,
    /// Since the machine was started, suspended time included.
    pub uptime: SignedDuration,
}

/// How the clock stood.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Tie {
    pub boot: String,
    /// The clock less the time since the machine was started, in µs since 1970.
    pub offset_us: i64,
}

impl Tie {
    /// How the clock stands that shows `wall`.
    pub fn of(wall: Timestamp, shown: &UptimeClock) -> Self {
        let uptime_us = i64::try_from(shown.uptime.as_micros()).unwrap_or(i64::MAX);
        Self { boot: shown.boot.clone(), offset_us: wall.as_microsecond().saturating_sub(uptime_us) }
    }

    /// By how much the clock was set since; zero where it was not, or where the machine was started anew and nobody can tell.
    pub fn set_by(&self, wall: Timestamp, shown: &UptimeClock) -> SignedDuration {
        let now = Tie::of(wall, shown);
        let by = SignedDuration::from_micros(now.offset_us.saturating_sub(self.offset_us));
        if now.boot == self.boot && by.abs() > SET_BY_MORE_THAN { by } else { SignedDuration::ZERO }
    }

    /// Whether all is as it was: the same start of the machine, and a clock that nobody has set.
    pub fn stands(&self, wall: Timestamp, shown: &UptimeClock) -> bool {
        self.boot == shown.boot && self.set_by(wall, shown).is_zero()
    }

    /// The present by the clock as it stood, whatever it shows now.
    pub fn present(&self, wall: Timestamp, shown: &UptimeClock) -> Timestamp {
        later(wall, -self.set_by(wall, shown))
    }
}

pub(super) use crate::when::later;

impl Seen {
    /// The same look by a clock that was set forward by so much.
    #[must_use]
    pub(super) fn shifted(self, by: SignedDuration) -> Self {
        match self {
            Seen::At { at } => Seen::At { at: later(at, by) },
            Seen::By { by: seen } => Seen::By { by: later(seen, by) },
            Seen::Between { after, by: seen } => Seen::Between { after: later(after, by), by: later(seen, by) },
            Seen::NotYet { at } => Seen::NotYet { at: later(at, by) },
        }
    }
}

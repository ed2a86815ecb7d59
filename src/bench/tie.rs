//! The machine's clock held against the time since it was started, which nobody can set and which goes on through a suspend:
//! where their difference changes, the clock was set.
//!
//! The notebook keeps the difference. Whoever finds it changed writes down by how much, and everything written before then
//! counts as so much later (earlier, where the clock was set back): what has really passed since stays what it was, and no
//! deadline moves.

use super::entry::Seen;
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};

/// A smaller change is the clock's own steering, or the moment between two looks.
const SET_BY_MORE_THAN: SignedDuration = SignedDuration::from_millis(1500);

/// What the machine's two clocks showed at one moment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct UptimeClock {
    /// Which start of the machine this is: another one counts anew.
    pub boot: PlainText,
    /// Since the machine was started, suspended time included.
    pub uptime: SignedDuration,
}

/// How the clock stood.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Tie {
    pub boot: PlainText,
    /// The clock less the time since the machine was started, in µs since 1970.
    pub offset_us: i64,
    /// By how much it was set since it was last told, µs.
    pub stepped_us: i64,
}

impl Tie {
    /// By how much the clock was set; negative: back.
    pub fn stepped(&self) -> SignedDuration {
        SignedDuration::from_micros(self.stepped_us)
    }

    /// What has to be told at `wall`, where `known` is what was told last: another start of the machine, or a clock that
    /// was set; `None` where all is as it was.
    pub fn news(known: Option<&Tie>, wall: Timestamp, shown: &UptimeClock) -> Option<Tie> {
        let offset_us = wall.as_microsecond().saturating_sub(micros(shown.uptime));
        let fresh = Tie { boot: shown.boot.clone(), offset_us, stepped_us: 0 };
        // The clock of another start cannot be compared.
        let Some(known) = known.filter(|known| known.boot == shown.boot) else { return Some(fresh) };
        let stepped_us = offset_us.saturating_sub(known.offset_us);
        (SignedDuration::from_micros(stepped_us).abs() > SET_BY_MORE_THAN).then_some(Tie { stepped_us, ..fresh })
    }

    /// The present by the clock as it was last told, whatever it shows now; `wall` where it was not told of this start, or
    /// agrees.
    pub fn present(known: Option<&Tie>, wall: Timestamp, shown: &UptimeClock) -> Timestamp {
        let set = Tie::news(known, wall, shown).map_or(SignedDuration::ZERO, |tie| tie.stepped());
        later(wall, -set)
    }
}

fn micros(length: SignedDuration) -> i64 {
    i64::try_from(length.as_micros()).unwrap_or(i64::MAX)
}

/// `at`, so much later; held at the ends of time.
pub(super) fn later(at: Timestamp, by: SignedDuration) -> Timestamp {
    let end = if by.is_negative() { Timestamp::MIN } else { Timestamp::MAX };
    at.checked_add(by).unwrap_or(end)
}

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

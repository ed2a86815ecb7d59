//! `--from`: where on the file's own scale the count starts.

use super::words::place;
use crate::sense::logger_file::{LoggerFile, Origin};
use crate::text::PlainText;
use crate::when::{BadTime, Written, parse_when};
use jiff::Timestamp;
use jiff::civil::Time;
use jiff::tz::TimeZone;

/// Well above the rounding of hours in a file, well below a second.
const ROUNDING: f64 = 1e-9;

/// Why a start is of no use with this file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FromError {
    #[error(transparent)]
    BadTime(#[from] BadTime),
    #[error("'{given}' does not go with a file that has clock times only. Write a clock time, such as 23:40")]
    NeedsClock { given: PlainText },
    #[error(
        "'{given}' does not go with a file that has hours only. Write the hours as in its column 'time', such as 2.5"
    )]
    NeedsHours { given: PlainText },
    #[error("'{given}' is not within the readings, which go from {first} to {last}. Write a time between these")]
    Outside { given: PlainText, first: String, last: String },
}

/// Hours from the first reading to the start; a bare clock time is the last such one in the file.
pub(super) fn start_h(text: &str, log: &LoggerFile, zone: &TimeZone) -> Result<f64, FromError> {
    let given = || PlainText::new(text);
    let start = match (log.origin(), log.readings().last().and_then(|last| last.at)) {
        (Origin::Moment(first), last) => hours_between(first, parse_when(text, last.unwrap_or(first), zone)?),
        (Origin::Clock(first), _) => match Written::read(text)? {
            Written::Clock(clock) => last_time(first, clock, log.hours()),
            Written::Moment(_) | Written::Local(_) => return Err(FromError::NeedsClock { given: given() }),
        },
        (Origin::Hours(first), _) => match text.trim().parse::<f64>() {
            Ok(hours) if hours.is_finite() => hours - first,
            _ => return Err(FromError::NeedsHours { given: given() }),
        },
    };
    if (0.0..=log.hours()).contains(&start) {
        return Ok(start);
    }
    Err(FromError::Outside { given: given(), first: place(log, 0.0, zone), last: place(log, log.hours(), zone) })
}

fn hours_between(first: Timestamp, at: Timestamp) -> f64 {
    at.duration_since(first).as_secs_f64() / 3600.0
}

/// Hours from `first` to the last time a clock shows `clock` at most `hours` later; past the end where it does not.
fn last_time(first: Time, clock: Time, hours: f64) -> f64 {
    let once = (clock.duration_since(first).as_secs_f64() / 3600.0).rem_euclid(24.0);
    // The last reading itself counts, whatever the rounding of its hours.
    let days = ((hours - once) / 24.0 + ROUNDING).floor().max(0.0);
    let at = once + days * 24.0;
    if at - hours < ROUNDING { at.min(hours) } else { at }
}

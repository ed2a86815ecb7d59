//! The ways a moment can be written down, before anybody knows the time zone or the present.

use crate::text::PlainText;
use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};

/// A time that could not be understood, in words for the person who typed it.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadTime {
    #[error("'{given}' is not a time. Write 23:40, 2026-03-02 23:40, 2026-03-02T23:40:00+01:00, 20m ago or now")]
    Unreadable { given: PlainText },
    #[error(
        "'{given}' is not on the clock: hours go from 00 to 23, minutes and seconds from 00 to 59. Write 23:40; \
         midnight is 00:00"
    )]
    NotOnTheClock { given: PlainText },
    #[error("'{given}' is not in the calendar. Write year, month and day, as in 2026-03-02 23:40")]
    NotInTheCalendar { given: PlainText },
    #[error("'{given}' does not say how long ago. Write a number and a unit, as in 20m ago or 1h 30m ago")]
    NoLength { given: PlainText },
    #[error("'{given}' is too far from today to be kept. Write a time of these years, as in 2026-03-02 23:40")]
    TooFar { given: PlainText },
}

/// A time as it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// RFC 3339, with its offset: one moment anywhere.
    Moment(Timestamp),
    /// A date and a clock time, on the clocks of a place not named.
    Local(DateTime),
    /// A clock time of a day not named.
    Clock(Time),
}

impl Written {
    /// Reads `2026-03-02T23:40:00+01:00` (also `Z`), `2026-03-02 23:40`, `23:40` or `23:40:10`.
    pub fn read(text: &str) -> Result<Self, BadTime> {
        let text = text.trim();
        let Some((date, clock)) = split_date(text) else { return clock_time(text, text).map(Written::Clock) };
        if clock.contains(['Z', 'z', '+', '-']) {
            return text.parse().map(Written::Moment).map_err(|_| unreadable(text));
        }
        Ok(Written::Local(calendar_day(date, text)?.to_datetime(clock_time(clock, text)?)))
    }
}

fn unreadable(given: &str) -> BadTime {
    BadTime::Unreadable { given: PlainText::new(given) }
}

/// Date and clock, where `text` begins like a date: four digits and a dash, parted by `T` or a space.
fn split_date(text: &str) -> Option<(&str, &str)> {
    let (date, clock) = text.split_once(['T', 't', ' '])?;
    let (year, _) = date.split_once('-')?;
    digits(year, 4..=4)?;
    Some((date, clock.trim_start()))
}

fn calendar_day(date: &str, given: &str) -> Result<Date, BadTime> {
    let mut parts = date.split('-').map(|part| digits(part, 1..=4));
    let (Some(Some(year)), Some(Some(month)), Some(Some(day)), None) =
        (parts.next(), parts.next(), parts.next(), parts.next())
    else {
        return Err(unreadable(given));
    };
    let small = |n: i16| i8::try_from(n).ok();
    small(month)
        .zip(small(day))
        .and_then(|(month, day)| Date::new(year, month, day).ok())
        .ok_or_else(|| BadTime::NotInTheCalendar { given: PlainText::new(given) })
}

/// `23:40`, `9:05`, `23:40:10` or `23:40:10.5`; `given` is what the error shows.
fn clock_time(clock: &str, given: &str) -> Result<Time, BadTime> {
    let (whole, fraction) = clock.split_once('.').map_or((clock, None), |(whole, rest)| (whole, Some(rest)));
    let mut parts = whole.split(':');
    let hour = parts.next().and_then(|h| digits(h, 1..=2));
    let minute = parts.next().and_then(|m| digits(m, 2..=2));
    let seconds = parts.next();
    let second = seconds.map_or(Some(0), |s| digits(s, 2..=2));
    let nanosecond = match fraction {
        None => Some(0),
        Some(rest) => seconds.and(nanoseconds(rest)),
    };
    let (Some(hour), Some(minute), Some(second), Some(nanosecond), None) =
        (hour, minute, second, nanosecond, parts.next())
    else {
        return Err(unreadable(given));
    };
    let small = |n: i16| i8::try_from(n).unwrap_or(i8::MAX);
    Time::new(small(hour), small(minute), small(second), nanosecond)
        .map_err(|_| BadTime::NotOnTheClock { given: PlainText::new(given) })
}

/// A number of as many ASCII digits as `length` allows, and nothing else.
fn digits(text: &str, length: std::ops::RangeInclusive<usize>) -> Option<i16> {
    let plain = length.contains(&text.len()) && text.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| text.parse().ok()).flatten()
}

/// The digits after a decimal point of a second, at most nine.
fn nanoseconds(fraction: &str) -> Option<i32> {
    let plain = (1..=9).contains(&fraction.len()) && fraction.bytes().all(|b| b.is_ascii_digit());
    plain.then(|| format!("{fraction:0<9}").parse().ok()).flatten()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil;

    #[test]
    fn every_way_of_writing_is_told_apart() {
        let moment: Timestamp = "2026-03-02T22:40:00Z".parse().unwrap();
        for text in ["2026-03-02T23:40:00+01:00", "2026-03-02t22:40:00z", "2026-03-02 22:40:00Z", "2026-03-02T22:40Z"] {
            assert_eq!(Written::read(text), Ok(Written::Moment(moment)), "{text}");
        }
        let local = civil::datetime(2026, 3, 2, 23, 40, 0, 0);
        for text in ["2026-03-02 23:40", "2026-03-02T23:40", " 2026-03-02  23:40:00 ", "2026-3-2 23:40"] {
            assert_eq!(Written::read(text), Ok(Written::Local(local)), "{text}");
        }
        assert_eq!(Written::read("9:05"), Ok(Written::Clock(civil::time(9, 5, 0, 0))));
        assert_eq!(Written::read("23:40:10.25"), Ok(Written::Clock(civil::time(23, 40, 10, 250_000_000))));
    }

    #[test]
    fn what_is_wrong_is_named() {
        let wrong = |text: &str| Written::read(text).unwrap_err().to_string();
        assert!(wrong("24:00").contains("midnight is 00:00"));
        assert!(wrong("23:60").starts_with("'23:60' is not on the clock"));
        assert!(wrong("2026-02-30 23:40").starts_with("'2026-02-30 23:40' is not in the calendar"));
        assert!(wrong("2026-03-02 25:10").contains("not on the clock"));
        for text in [
            "",
            "later",
            "23",
            "2340",
            "23:4",
            "23:40:1",
            "23:40:10.",
            "23:40.5",
            "+3:00",
            "11:40 pm",
            "2026-03-02",
            "2026-03 23:40",
            "1:2:3:4",
            "2026-03-02T23:40+1",
            "٢٣:٤٠",
        ] {
            assert!(matches!(Written::read(text), Err(BadTime::Unreadable { .. })), "{text}");
        }
    }

    #[test]
    fn errors_show_only_printable_text() {
        let words = Written::read("\u{1b}[2Jsoon").unwrap_err().to_string();
        assert!(words.starts_with("'[2Jsoon' is not a time. Write 23:40,"), "{words}");
    }
}

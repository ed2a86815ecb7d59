//! Times as people give them, and as files keep them. The present and the zone are told, never looked up.

mod written;

pub use written::{BadTime, Written};

use crate::text::PlainText;
use jiff::civil::{Time, Weekday};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, ToSpan, Unit};
use std::time::Duration;

/// The moment `text` means to somebody in `zone` at `now`.
///
/// - `now`, `20m ago`, `1h 30m ago`;
/// - `2026-03-02T23:40:00+01:00` (RFC 3339);
/// - `2026-03-02 23:40` (seconds may follow), local. An hour that comes twice on a daylight-saving night means its first
///   time; one that is left out, the moment as much later (the `compatible` choice of RFC 5545);
/// - `23:40` or `23:40:10`: the most recent such moment, `now` at the latest. Where the hour comes twice, this is the
///   second time as soon as that has been.
pub fn parse_when(text: &str, now: Timestamp, zone: &TimeZone) -> Result<Timestamp, BadTime> {
    let text = text.trim();
    if text.eq_ignore_ascii_case("now") {
        return Ok(now);
    }
    // Lower case throughout, because a capital M would be taken for months.
    if let Some(length) = text.to_lowercase().strip_suffix("ago") {
        return ago(length, now, text);
    }
    let too_far = || BadTime::TooFar { given: PlainText::new(text) };
    match Written::read(text)? {
        Written::Moment(at) => Ok(at),
        Written::Local(at) => zone.to_timestamp(at).map_err(|_| too_far()),
        Written::Clock(clock) => most_recent(clock, now, zone).ok_or_else(too_far),
    }
}

/// The same of a time to come: a clock time is the first such moment after `after`; where the hour comes twice, its first.
pub fn parse_ahead(text: &str, after: Timestamp, zone: &TimeZone) -> Result<Timestamp, BadTime> {
    match Written::read(text)? {
        Written::Clock(clock) => {
            let today = after.to_zoned_datetime(zone.clone()).date();
            let days = [0, 1, 2].into_iter().filter_map(|days| today.checked_add(days.days()).ok());
            let mut moments = days.filter_map(|date| zone.to_timestamp(date.to_datetime(clock)).ok());
            moments.find(|at| *at > after).ok_or_else(|| BadTime::TooFar { given: PlainText::new(text) })
        }
        _ => parse_when(text, after, zone),
    }
}

/// The same, and a day of the week before a clock time: `sat 10:00` is the first such moment after `after`.
pub fn parse_day_ahead(text: &str, after: Timestamp, zone: &TimeZone) -> Result<Timestamp, BadTime> {
    let named = text.trim().split_once(char::is_whitespace).and_then(|(day, clock)| Some((weekday(day)?, clock)));
    let Some((day, clock)) = named else { return parse_ahead(text, after, zone) };
    let Written::Clock(clock) = Written::read(clock)? else { return parse_ahead(text, after, zone) };
    let today = after.to_zoned_datetime(zone.clone()).date();
    let days = (0..=7).filter_map(|days| today.checked_add(days.days()).ok()).filter(|date| date.weekday() == day);
    let mut moments = days.filter_map(|date| zone.to_timestamp(date.to_datetime(clock)).ok());
    moments.find(|at| *at > after).ok_or_else(|| BadTime::TooFar { given: PlainText::new(text) })
}

const WEEK: [(&str, Weekday); 7] = [
    ("monday", Weekday::Monday),
    ("tuesday", Weekday::Tuesday),
    ("wednesday", Weekday::Wednesday),
    ("thursday", Weekday::Thursday),
    ("friday", Weekday::Friday),
    ("saturday", Weekday::Saturday),
    ("sunday", Weekday::Sunday),
];

/// A day of the week by its name or the first three letters of it and more.
pub fn weekday(word: &str) -> Option<Weekday> {
    let folded = word.trim().to_lowercase();
    WEEK.iter().find(|(name, _)| folded.len() >= 3 && name.starts_with(&folded)).map(|(_, day)| *day)
}

/// `at`, so much later; held at the ends of time.
pub fn later(at: Timestamp, by: SignedDuration) -> Timestamp {
    let end = if by.is_negative() { Timestamp::MIN } else { Timestamp::MAX };
    at.checked_add(by).unwrap_or(end)
}

/// `at` on the clocks of `zone`, to the second, with a numeric offset: `2026-03-02T23:40:00+01:00` (RFC 3339).
pub fn rfc3339(at: Timestamp, zone: &TimeZone) -> String {
    let offset = zone.to_offset(at);
    // RFC 3339 has no seconds in an offset; the odd ones of the 19th century are rounded, and the clock with them.
    let offset = offset.round(Unit::Minute).unwrap_or(offset);
    format!("{:.0}", at.display_with_offset(offset))
}

/// A length of time as people write it: `20m`, `20 min`, `1h 30m`. `None` where it is not one.
pub fn parse_length(text: &str) -> Option<Duration> {
    humantime::parse_duration(text.trim()).ok()
}

fn ago(length: &str, now: Timestamp, given: &str) -> Result<Timestamp, BadTime> {
    let length = parse_length(length).ok_or_else(|| BadTime::NoLength { given: PlainText::new(given) })?;
    SignedDuration::try_from(length)
        .and_then(|length| now.checked_sub(length))
        .map_err(|_| BadTime::TooFar { given: PlainText::new(given) })
}

/// The last moment, `now` included, at which the clocks of `zone` showed `clock`.
fn most_recent(clock: Time, now: Timestamp, zone: &TimeZone) -> Option<Timestamp> {
    let today = now.to_zoned_datetime(zone.clone()).date();
    // Tomorrow, because clocks put back at midnight have shown it already; two days back, because a zone may leave out
    // a whole day.
    [1, 0, -1, -2]
        .into_iter()
        .filter_map(|days| today.checked_add(days.days()).ok())
        .map(|date| zone.to_ambiguous_timestamp(date.to_datetime(clock)))
        .flat_map(|moment| [moment.compatible(), moment.later()])
        .filter_map(Result::ok)
        .filter(|&at| at <= now)
        .max()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Central European time, without asking for a zone database.
    fn berlin() -> TimeZone {
        TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
    }

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[track_caller]
    fn means(text: &str, now: &str, want: &str) {
        let got = parse_when(text, at(now), &berlin()).unwrap();
        assert_eq!(rfc3339(got, &berlin()), want, "{text} at {now}");
    }

    #[test]
    fn times_of_an_ordinary_night() {
        let now = "2026-03-03T01:10:00+01:00";
        means("now", now, "2026-03-03T01:10:00+01:00");
        means(" NOW ", now, "2026-03-03T01:10:00+01:00");
        means("2026-03-02T22:40:00Z", now, "2026-03-02T23:40:00+01:00");
        means("2026-03-02 23:40", now, "2026-03-02T23:40:00+01:00");
        means("2026-03-02T23:40:10", now, "2026-03-02T23:40:10+01:00");
        means("23:40", now, "2026-03-02T23:40:00+01:00");
        means("01:10", now, "2026-03-03T01:10:00+01:00");
        means("1:10:01", now, "2026-03-02T01:10:01+01:00");
        means("20m ago", now, "2026-03-03T00:50:00+01:00");
        means("20 min ago", now, "2026-03-03T00:50:00+01:00");
        means("20M ago", now, "2026-03-03T00:50:00+01:00");
        means("1h 30m ago", now, "2026-03-02T23:40:00+01:00");
    }

    #[test]
    fn a_clock_time_to_come_is_the_next_one() {
        let ahead = |text: &str, after: &str| rfc3339(parse_ahead(text, at(after), &berlin()).unwrap(), &berlin());
        assert_eq!(ahead("23:00", "2026-03-02T21:00:00+01:00"), "2026-03-02T23:00:00+01:00");
        assert_eq!(ahead("03:00", "2026-03-02T23:00:00+01:00"), "2026-03-03T03:00:00+01:00");
        assert_eq!(ahead("23:00", "2026-03-02T23:00:00+01:00"), "2026-03-03T23:00:00+01:00");
        assert_eq!(
            ahead("02:30", "2026-03-28T23:00:00+01:00"),
            "2026-03-29T03:30:00+02:00",
            "the hour that is left out"
        );
        assert_eq!(ahead("2026-03-05 06:00", "2026-03-02T21:00:00+01:00"), "2026-03-05T06:00:00+01:00");
        assert!(parse_ahead("half past", at("2026-03-02T21:00:00Z"), &berlin()).is_err());
    }

    #[test]
    fn a_day_of_the_week_is_the_next_one() {
        let ahead = |text: &str, after: &str| rfc3339(parse_day_ahead(text, at(after), &berlin()).unwrap(), &berlin());
        // 2026-03-02 is a Monday.
        assert_eq!(ahead("sat 10:00", "2026-03-02T21:00:00+01:00"), "2026-03-07T10:00:00+01:00");
        assert_eq!(ahead("Monday 21:00", "2026-03-02T21:00:00+01:00"), "2026-03-09T21:00:00+01:00");
        assert_eq!(ahead("mon 22:00", "2026-03-02T21:00:00+01:00"), "2026-03-02T22:00:00+01:00");
        assert_eq!(ahead("23:00", "2026-03-02T21:00:00+01:00"), "2026-03-02T23:00:00+01:00");
        assert!(parse_day_ahead("someday 10:00", at("2026-03-02T21:00:00Z"), &berlin()).is_err());
        assert_eq!((weekday("Fri"), weekday("fr"), weekday("friday!")), (Some(Weekday::Friday), None, None));
    }

    #[test]
    fn an_hour_that_comes_twice_means_the_latest_that_has_been() {
        // Europe/Berlin, 2026-10-25: at 03:00 summer time the clocks go back to 02:00.
        means("02:30", "2026-10-25T02:40:00+02:00", "2026-10-25T02:30:00+02:00");
        means("02:30", "2026-10-25T02:10:00+01:00", "2026-10-25T02:30:00+02:00");
        means("02:30", "2026-10-25T02:30:00+01:00", "2026-10-25T02:30:00+01:00");
        means("02:30", "2026-10-25T09:00:00+01:00", "2026-10-25T02:30:00+01:00");
        means("02:30", "2026-10-25T02:20:00+02:00", "2026-10-24T02:30:00+02:00");
        means("2026-10-25 02:30", "2026-10-25T09:00:00+01:00", "2026-10-25T02:30:00+02:00");
    }

    #[test]
    fn an_hour_left_out_means_the_moment_as_much_later() {
        // Europe/Berlin, 2026-03-29: at 02:00 the clocks go on to 03:00.
        means("02:30", "2026-03-29T09:00:00+02:00", "2026-03-29T03:30:00+02:00");
        means("02:30", "2026-03-29T03:10:00+02:00", "2026-03-28T02:30:00+01:00");
        means("01:59", "2026-03-29T03:10:00+02:00", "2026-03-29T01:59:00+01:00");
        means("2026-03-29 02:30", "2026-03-29T09:00:00+02:00", "2026-03-29T03:30:00+02:00");
    }

    #[test]
    fn clocks_put_back_over_midnight_have_shown_tomorrow() {
        // Invented rule: on the last Sunday of October, at 00:30, back to 23:30.
        let zone = TimeZone::posix("AAA3BBB2,M3.5.0,M10.5.0/0:30").unwrap();
        let now = at("2026-10-24T23:40:00-03:00");
        assert_eq!(parse_when("00:10", now, &zone).unwrap(), at("2026-10-25T00:10:00-02:00"));
        assert_eq!(parse_when("00:10", now, &zone).unwrap(), now - SignedDuration::from_mins(30));
    }

    #[test]
    fn what_cannot_be_meant_is_refused_in_words() {
        let words = |text: &str| parse_when(text, at("2026-03-03T01:10:00+01:00"), &berlin()).unwrap_err().to_string();
        assert_eq!(
            words("20 ago"),
            "'20 ago' does not say how long ago. Write a number and a unit, as in 20m ago or 1h 30m ago"
        );
        assert!(words("ago").starts_with("'ago' does not say how long ago"));
        assert!(words("30000 years ago").contains("too far from today"));
        assert!(words("400000000000 years ago").contains("too far from today"));
        assert!(words("9999-12-31 23:59").contains("too far from today"));
        assert!(words("soon\u{202e}").starts_with("'soon' is not a time. Write 23:40"));
    }

    #[test]
    fn offsets_are_always_numbers() {
        let moment = at("2026-07-01T12:00:00.987Z");
        assert_eq!(rfc3339(moment, &TimeZone::UTC), "2026-07-01T12:00:00+00:00");
        assert_eq!(rfc3339(moment, &berlin()), "2026-07-01T14:00:00+02:00");
        let odd = TimeZone::fixed(jiff::tz::Offset::from_seconds(53 * 60 + 28).unwrap());
        assert_eq!(rfc3339(moment, &odd), "2026-07-01T12:53:00+00:53", "the moment stays, the odd seconds go");
    }

    proptest! {
        #[test]
        fn a_bare_clock_is_not_in_the_future_and_at_most_25_hours_ago(
            second in 1_767_225_600i64..1_830_297_600, h in 0i8..24, m in 0i8..60, s in 0i8..60,
        ) {
            let now = Timestamp::from_second(second).unwrap();
            let got = parse_when(&format!("{h:02}:{m:02}:{s:02}"), now, &berlin()).unwrap();
            prop_assert!(got <= now);
            prop_assert!(now.duration_since(got) <= SignedDuration::from_hours(25));
        }

        #[test]
        fn a_bare_clock_near_a_clock_change_is_the_last_time_it_was_shown(
            autumn in any::<bool>(), minutes in -600i64..1800, h in 0i8..24, m in 0i8..60,
        ) {
            let change = at(if autumn { "2026-10-25T01:00:00Z" } else { "2026-03-29T01:00:00Z" });
            let now = change + SignedDuration::from_mins(minutes);
            let shown = |at: Timestamp| at.to_zoned_datetime(berlin()).time();
            let clock = jiff::civil::time(h, m, 0, 0);
            let got = parse_when(&format!("{h:02}:{m:02}"), now, &berlin()).unwrap();
            // Looking back minute by minute, an independent way.
            let seen = (0..25 * 60).map(|back| now - SignedDuration::from_mins(back)).find(|&at| shown(at) == clock);
            let left_out = !autumn && h == 2;
            prop_assert!(got <= now);
            prop_assert!(left_out || Some(got) == seen, "{got} {seen:?}");
        }

        #[test]
        fn what_is_written_is_read_back(second in -62_000_000_000i64..250_000_000_000) {
            let moment = Timestamp::from_second(second).unwrap();
            prop_assert_eq!(parse_when(&rfc3339(moment, &berlin()), Timestamp::UNIX_EPOCH, &berlin()), Ok(moment));
        }

        #[test]
        fn no_text_is_too_strange(text in any::<String>()) {
            if let Err(error) = parse_when(&text, Timestamp::UNIX_EPOCH, &berlin()) {
                prop_assert!(!error.to_string().chars().any(crate::text::is_hostile));
            }
        }
    }
}

//! When nobody can pour: sleep by the day of the week, appointments.

use crate::text::PlainText;
use jiff::civil::{Date, Time, Weekday};
use jiff::{Timestamp, ToSpan, tz::TimeZone};

/// From one moment to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Span {
    pub from: Timestamp,
    pub until: Timestamp,
}

impl Span {
    /// Whether the two have more than an end in common.
    pub fn meets(&self, other: &Span) -> bool {
        self.from < other.until && other.from < self.until
    }
}

/// Days of the week.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Days(u8);

impl Days {
    pub const ALL: Days = Days(0x7f);

    pub fn of(days: impl IntoIterator<Item = Weekday>) -> Self {
        Days(days.into_iter().fold(0, |set, day| set | Self::bit(day)))
    }

    pub fn has(self, day: Weekday) -> bool {
        self.0 & Self::bit(day) != 0
    }

    fn bit(day: Weekday) -> u8 {
        1 << day.to_monday_zero_offset()
    }
}

/// Hours of the clock on some days. Where they end before they begin they end on the next day.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hours {
    pub days: Days,
    pub from: Time,
    pub until: Time,
}

/// Something that keeps the hands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Appointment {
    pub what: PlainText,
    pub when: When,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum When {
    /// On one day; the days of the hours do not count.
    On(Date, Hours),
    Weekly(Hours),
}

/// Before this hour a bedtime belongs to the evening before.
const NOON: i8 = 12;

/// The sleep and the appointments of whoever pours.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rest {
    /// A day is the evening on which the night begins, also where bedtime is after midnight. Hours of some days take the place of
    /// those of every day; of several that name a day the last ones count.
    pub sleep: Vec<Hours>,
    pub appointments: Vec<Appointment>,
}

impl Rest {
    /// The nights of sleep that meet `range`, in their order.
    pub fn nights(&self, range: Span, zone: &TimeZone) -> Vec<Span> {
        let night = |evening: Date, hours: &Hours| {
            let begins = if hours.from.hour() < NOON { evening.checked_add(1.day()).ok()? } else { evening };
            hours.on(begins, zone)
        };
        let of_day = |evening: Date| -> Vec<Span> {
            let named = self.sleep.iter().rfind(|hours| hours.days != Days::ALL && hours.days.has(evening.weekday()));
            let usual = self.sleep.iter().filter(|hours| named.is_none() && hours.days == Days::ALL);
            named.into_iter().chain(usual).filter_map(|hours| night(evening, hours)).collect()
        };
        let mut nights: Vec<Span> = days(range, zone).flat_map(of_day).filter(|night| night.meets(&range)).collect();
        nights.sort();
        nights
    }

    /// The appointments that meet `range`.
    pub fn appointments(&self, range: Span, zone: &TimeZone) -> Vec<Span> {
        let spans = self.appointments.iter().flat_map(|appointment| -> Vec<Span> {
            match appointment.when {
                When::On(day, hours) => hours.on(day, zone).into_iter().collect(),
                When::Weekly(hours) => days(range, zone)
                    .filter(|day| hours.days.has(day.weekday()))
                    .filter_map(|day| hours.on(day, zone))
                    .collect(),
            }
        });
        spans.filter(|span: &Span| span.meets(&range)).collect()
    }
}

impl Hours {
    /// From the clock time of `day`; where summer time begins or ends the clocks on the wall decide.
    fn on(&self, day: Date, zone: &TimeZone) -> Option<Span> {
        let ends = if self.until <= self.from { day.checked_add(1.day()).ok()? } else { day };
        let from = zone.to_timestamp(day.to_datetime(self.from)).ok()?;
        let until = zone.to_timestamp(ends.to_datetime(self.until)).ok()?;
        (from < until).then_some(Span { from, until })
    }
}

/// The days of `range`, with two before it: a night may have begun then.
fn days(range: Span, zone: &TimeZone) -> impl Iterator<Item = Date> {
    let first = range.from.to_zoned_datetime(zone.clone()).date().checked_sub(2.days()).unwrap_or(Date::MIN);
    let last = range.until.to_zoned_datetime(zone.clone()).date();
    std::iter::successors(Some(first), |day| day.checked_add(1.day()).ok()).take_while(move |day| *day <= last)
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::time;

    fn berlin() -> TimeZone {
        TimeZone::posix("CET-1CEST,M3.5.0,M10.5.0/3").unwrap()
    }

    fn span(from: &str, until: &str) -> Span {
        Span { from: from.parse().unwrap(), until: until.parse().unwrap() }
    }

    fn hours(days: Days, from: (i8, i8), until: (i8, i8)) -> Hours {
        Hours { days, from: time(from.0, from.1, 0, 0), until: time(until.0, until.1, 0, 0) }
    }

    #[test]
    fn a_bedtime_after_midnight_belongs_to_the_evening_before() {
        // 2026-03-06 is a Friday.
        let late = hours(Days::of([Weekday::Friday]), (0, 30), (9, 0));
        let rest = Rest { sleep: vec![hours(Days::ALL, (23, 0), (6, 30)), late], appointments: Vec::new() };
        let nights = rest.nights(span("2026-03-06T12:00:00+01:00", "2026-03-08T12:00:00+01:00"), &berlin());
        let want = [
            span("2026-03-07T00:30:00+01:00", "2026-03-07T09:00:00+01:00"),
            span("2026-03-07T23:00:00+01:00", "2026-03-08T06:30:00+01:00"),
        ];
        assert_eq!(nights, want);
    }

    #[test]
    fn the_night_that_has_begun_counts() {
        let rest = Rest { sleep: vec![hours(Days::ALL, (22, 0), (6, 0))], appointments: Vec::new() };
        let nights = rest.nights(span("2026-03-07T01:00:00+01:00", "2026-03-07T02:00:00+01:00"), &berlin());
        assert_eq!(nights, [span("2026-03-06T22:00:00+01:00", "2026-03-07T06:00:00+01:00")]);
    }

    #[test]
    fn the_night_in_which_clocks_go_on_is_an_hour_shorter() {
        let rest = Rest { sleep: vec![hours(Days::ALL, (23, 0), (6, 30))], appointments: Vec::new() };
        let nights = rest.nights(span("2026-03-28T20:00:00+01:00", "2026-03-29T12:00:00+02:00"), &berlin());
        assert_eq!(nights, [span("2026-03-28T23:00:00+01:00", "2026-03-29T06:30:00+02:00")]);
        assert_eq!(nights[0].until.duration_since(nights[0].from).as_mins(), 390);
    }

    #[test]
    fn appointments_come_once_or_every_week() {
        let once = span("2026-03-04T17:00:00+01:00", "2026-03-04T18:00:00+01:00");
        let on = When::On(jiff::civil::date(2026, 3, 4), hours(Days::ALL, (17, 0), (18, 0)));
        let weekly = hours(Days::of([Weekday::Tuesday, Weekday::Thursday]), (19, 0), (21, 0));
        let appointment = |when| Appointment { what: PlainText::new("choir"), when };
        let rest = Rest { sleep: Vec::new(), appointments: vec![appointment(on), appointment(When::Weekly(weekly))] };
        // From Monday to Wednesday.
        let met = rest.appointments(span("2026-03-02T00:00:00+01:00", "2026-03-05T00:00:00+01:00"), &berlin());
        assert_eq!(met, [once, span("2026-03-03T19:00:00+01:00", "2026-03-03T21:00:00+01:00")]);
    }
}

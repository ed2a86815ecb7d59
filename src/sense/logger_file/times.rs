//! The time column: one way of writing it per file, turned into hours since the first reading.

use super::problem::Problem;
use crate::text::PlainText;
use crate::when::{BadTime, Written};
use jiff::civil::{DateTime, Time};
use jiff::tz::{AmbiguousOffset, TimeZone};
use jiff::{SignedDuration, Timestamp};
use std::fmt;

/// Hours beyond which a figure in the time column is taken for something else (seconds since 1970, say). Below it,
/// the difference of two figures is exact to 1e-9 h.
const LONGEST_H: f64 = 1e6;
/// A clock running backwards by less than this is more likely a clock change or a line out of place than a gap of most
/// of a day.
const LEAST_STEP_BACK: SignedDuration = SignedDuration::from_hours(6);
const DAY: SignedDuration = SignedDuration::from_hours(24);

/// A way to write times.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// RFC 3339.
    Moment,
    /// Date and clock time, local.
    Local,
    /// Clock time alone.
    Clock,
    /// Hours since some start.
    Hours,
}

impl fmt::Display for Style {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Style::Moment => "a time with its offset",
            Style::Local => "a local date and time",
            Style::Clock => "a clock time",
            Style::Hours => "a number of hours",
        })
    }
}

/// When the first reading was taken, as far as the file says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Origin {
    /// The file has dates.
    Moment(Timestamp),
    /// The file has clock times only.
    Clock(Time),
    /// The file has hours only; the first reading's figure.
    Hours(f64),
}

/// The place in time of one reading.
#[derive(Debug, Clone, Copy)]
pub(super) struct Place {
    pub elapsed_h: f64,
    pub at: Option<Timestamp>,
}

/// A value of the column, and how it was written.
#[derive(Debug, Clone, Copy)]
enum Value {
    Written(Written),
    Hours(f64),
}

impl Value {
    fn style(self) -> Style {
        match self {
            Value::Written(Written::Moment(_)) => Style::Moment,
            Value::Written(Written::Local(_)) => Style::Local,
            Value::Written(Written::Clock(_)) => Style::Clock,
            Value::Hours(_) => Style::Hours,
        }
    }
}

/// Where a reading stands on the file's own scale.
#[derive(Debug, Clone, Copy)]
enum Mark {
    Moment(Timestamp),
    Clock { shown: Time, since_first: SignedDuration },
    Hours(f64),
}

/// Reads the column from top to bottom.
#[derive(Debug)]
pub(super) struct Times<'z> {
    zone: &'z TimeZone,
    seen: Option<Seen>,
}

#[derive(Debug)]
struct Seen {
    style: Style,
    first_text: PlainText,
    first: Mark,
    before_text: PlainText,
    before: Mark,
    before_h: f64,
}

impl<'z> Times<'z> {
    /// Local times are those of `zone`.
    pub fn new(zone: &'z TimeZone) -> Self {
        Self { zone, seen: None }
    }

    /// The place of the next reading; `number` is its value if that is a number at all.
    pub fn next(&mut self, text: &str, number: Option<f64>) -> Result<Place, Problem> {
        let given = PlainText::new(text);
        let value = read(text, number)?;
        let style = value.style();
        let mark = self.mark(value, &given)?;
        let Some(seen) = &mut self.seen else {
            let (first_text, before_text) = (given.clone(), given);
            self.seen = Some(Seen { style, first_text, first: mark, before_text, before: mark, before_h: 0.0 });
            return Ok(mark.place(0.0));
        };
        let Some(elapsed_h) = mark.hours_after(seen.first).filter(|_| style == seen.style) else {
            return Err(Problem::OtherStyle { given, style, begun: seen.style, first: seen.first_text.clone() });
        };
        if elapsed_h <= seen.before_h {
            return Err(Problem::NotRising { given, before: seen.before_text.clone() });
        }
        (seen.before_text, seen.before, seen.before_h) = (given, mark, elapsed_h);
        Ok(mark.place(elapsed_h))
    }

    /// When the first reading was; `None` before there is any.
    pub fn origin(&self) -> Option<Origin> {
        self.seen.as_ref().map(|seen| match seen.first {
            Mark::Moment(at) => Origin::Moment(at),
            Mark::Clock { shown, .. } => Origin::Clock(shown),
            Mark::Hours(h) => Origin::Hours(h),
        })
    }

    fn mark(&self, value: Value, given: &PlainText) -> Result<Mark, Problem> {
        let before = self.seen.as_ref().map(|seen| seen.before);
        match value {
            Value::Hours(h) => Ok(Mark::Hours(h)),
            Value::Written(Written::Moment(at)) => Ok(Mark::Moment(at)),
            Value::Written(Written::Local(at)) => self.local(at, before, given).map(Mark::Moment),
            Value::Written(Written::Clock(shown)) => {
                let Some(Mark::Clock { shown: last, since_first }) = before else {
                    return Ok(Mark::Clock { shown, since_first: SignedDuration::ZERO });
                };
                let step = shown.duration_since(last);
                if step.is_negative() && step > -LEAST_STEP_BACK {
                    return Err(self.clock_back(given));
                }
                let step = if step.is_negative() { step + DAY } else { step };
                Ok(Mark::Clock { shown, since_first: since_first + step })
            }
        }
    }

    /// The moment of a local time. Where the hour comes twice on a daylight-saving night, the one that is later than the
    /// line before.
    fn local(&self, at: DateTime, before: Option<Mark>, given: &PlainText) -> Result<Timestamp, Problem> {
        let moments = self.zone.to_ambiguous_timestamp(at);
        if matches!(moments.offset(), AmbiguousOffset::Gap { .. }) {
            return Err(Problem::LeftOut { given: given.clone() });
        }
        let too_far = |_| Problem::BadTime(BadTime::TooFar { given: given.clone() });
        let (first, second) = (moments.compatible().map_err(too_far)?, moments.later().map_err(too_far)?);
        Ok(match before {
            Some(Mark::Moment(before)) if first <= before => second,
            _ => first,
        })
    }

    fn clock_back(&self, given: &PlainText) -> Problem {
        let before = self.seen.as_ref().map(|seen| seen.before_text.clone()).unwrap_or_default();
        Problem::ClockBack { given: given.clone(), before }
    }
}

impl Mark {
    /// `None` where the two are not on the same scale.
    fn hours_after(self, first: Mark) -> Option<f64> {
        let hours = |length: SignedDuration| length.as_secs_f64() / 3600.0;
        match (self, first) {
            (Mark::Moment(at), Mark::Moment(first)) => Some(hours(at.duration_since(first))),
            (Mark::Clock { since_first, .. }, Mark::Clock { .. }) => Some(hours(since_first)),
            (Mark::Hours(h), Mark::Hours(first)) => Some(h - first),
            _ => None,
        }
    }

    fn place(self, elapsed_h: f64) -> Place {
        Place { elapsed_h, at: if let Mark::Moment(at) = self { Some(at) } else { None } }
    }
}

fn read(text: &str, number: Option<f64>) -> Result<Value, Problem> {
    let not_a_time = || Problem::NotATime { given: PlainText::new(text) };
    match number {
        Some(hours) if hours.abs() <= LONGEST_H => Ok(Value::Hours(hours)),
        Some(_) => Err(not_a_time()),
        None => Written::read(text).map(Value::Written).map_err(|error| match error {
            BadTime::Unreadable { .. } => not_a_time(),
            other => Problem::BadTime(other),
        }),
    }
}

//! Readings a temperature logger kept: CSV with the columns `time` and `c`.
//!
//! The first line names the columns, in any order: `time` and `c` (°C) must be there, `humidity_percent` is read where it
//! is, and all others are passed over. Columns are parted by commas, semicolons or tabs; where not by commas, numbers
//! may have decimal commas. Blank lines and lines that begin with `#` are skipped.
//!
//! Times are written in one of four ways, the same throughout a file, and rise from line to line:
//! - RFC 3339, `2026-03-02T23:40:00+01:00`;
//! - local date and time, `2026-03-02 23:40` (seconds may follow);
//! - clock time alone, `23:40`: one that runs backwards is past midnight. Days have 24 hours then: on a daylight-saving
//!   night only a time with a date is right;
//! - hours since some start, `1.5`.

mod columns;
mod problem;
#[cfg(test)]
mod tests;
mod times;

pub use problem::{LoggerFileError, Problem};
pub use times::{Origin, Style};

use super::{Dialect, Lines, OpenQuote};
use crate::cure::{Knot, TemperatureCurve};
use crate::text::PlainText;
use crate::units::{Celsius, Percent};
use columns::Columns;
use jiff::Timestamp;
use jiff::tz::TimeZone;
use times::Times;

/// One line of the file.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LoggedReading {
    /// Hours since the first reading; 0 for that one.
    pub elapsed_h: f64,
    /// When it was taken, where the file has dates.
    pub at: Option<Timestamp>,
    pub celsius: Celsius,
    pub humidity: Option<Percent>,
}

/// A whole file: at least one reading, in rising order of time.
#[derive(Debug, Clone, PartialEq)]
pub struct LoggerFile {
    readings: Vec<LoggedReading>,
    origin: Origin,
    curve: TemperatureCurve,
}

impl LoggerFile {
    /// Reads the file's bytes; local times are those of `zone`.
    pub fn from_bytes(bytes: &[u8], zone: &TimeZone) -> Result<Self, LoggerFileError> {
        let text = str::from_utf8(bytes).map_err(|error| {
            let line = bytes[..error.valid_up_to()].split(|&b| b == b'\n').count();
            LoggerFileError { line: Some(line), problem: Problem::NotUtf8 }
        })?;
        Self::parse(text, zone)
    }

    /// Reads the file's text; local times are those of `zone`.
    pub fn parse(text: &str, zone: &TimeZone) -> Result<Self, LoggerFileError> {
        let whole = |problem| LoggerFileError { line: None, problem };
        let text = text.strip_prefix('\u{feff}').unwrap_or(text);
        let lines = Lines::of(text);
        let dialect = lines.header().map(Dialect::of_header).ok_or_else(|| whole(Problem::Empty))?;
        let mut records = lines.records(dialect);
        let (number, header) = records.next().ok_or_else(|| whole(Problem::Empty))?;
        let whole_line = |line: Result<csv::StringRecord, OpenQuote>| line.map_err(|OpenQuote| Problem::OpenQuote);
        let columns = whole_line(header).and_then(|header| Columns::from_header(&header)).map_err(at_line(number))?;
        let mut times = Times::new(zone);
        let mut readings = Vec::new();
        for (number, values) in records {
            let values = whole_line(values).map_err(at_line(number))?;
            if values.iter().any(|value| !value.is_empty()) {
                readings.push(reading(&values, columns, dialect, &mut times).map_err(at_line(number))?);
            }
        }
        let knots = readings.iter().map(|r| Knot { at_h: r.elapsed_h, celsius: r.celsius }).collect();
        match (times.origin(), TemperatureCurve::new(knots)) {
            (Some(origin), Ok(curve)) => Ok(Self { readings, origin, curve }),
            // Times that do not rise were refused line by line.
            (None, _) | (_, Err(_)) => Err(whole(Problem::NoReadings)),
        }
    }

    /// The readings, earliest first; never empty.
    pub fn readings(&self) -> &[LoggedReading] {
        &self.readings
    }

    /// When the first reading was taken.
    pub fn origin(&self) -> Origin {
        self.origin
    }

    /// Hours from the first reading to the last.
    pub fn hours(&self) -> f64 {
        self.curve.last().at_h
    }

    /// The temperature over hours since the first reading.
    pub fn curve(&self) -> &TemperatureCurve {
        &self.curve
    }
}

fn at_line(number: usize) -> impl Fn(Problem) -> LoggerFileError {
    move |problem| LoggerFileError { line: Some(number), problem }
}

fn reading(
    values: &csv::StringRecord,
    columns: Columns,
    dialect: Dialect,
    times: &mut Times<'_>,
) -> Result<LoggedReading, Problem> {
    let found = values.len() - values.iter().rev().take_while(|value| value.is_empty()).count();
    let needed = columns.time.max(columns.celsius) + 1;
    if found > columns.named || values.len() < needed {
        return Err(Problem::Width { found, named: columns.named });
    }
    let value = |place: usize, column| match values.get(place) {
        None | Some("") => Err(Problem::Missing { column }),
        Some(text) => Ok(text),
    };
    let time = value(columns.time, columns::TIME)?;
    let celsius = value(columns.celsius, columns::CELSIUS)?;
    let humidity = columns.humidity.and_then(|place| values.get(place)).filter(|text| !text.is_empty());
    // A figure that is no number goes in as NaN, which every quantity refuses in its own words.
    let figure = |text| dialect.number(text).unwrap_or(f64::NAN);
    let place = times.next(time, dialect.number(time))?;
    Ok(LoggedReading {
        elapsed_h: place.elapsed_h,
        at: place.at,
        celsius: Celsius::new(figure(celsius)).map_err(|error| Problem::NotAFigure {
            column: columns::CELSIUS,
            given: PlainText::new(celsius),
            expected: error.expected(),
            example: "21.5",
        })?,
        humidity: humidity
            .map(|text| {
                Percent::new(figure(text)).map_err(|error| Problem::NotAFigure {
                    column: columns::HUMIDITY,
                    given: PlainText::new(text),
                    expected: error.expected(),
                    example: "55",
                })
            })
            .transpose()?,
    })
}

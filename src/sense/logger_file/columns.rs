//! Which columns are which.

use super::problem::Problem;
use crate::text::PlainText;

pub(super) const TIME: &str = "time";
pub(super) const CELSIUS: &str = "c";
pub(super) const HUMIDITY: &str = "humidity_percent";

/// Which value of a line is which.
#[derive(Debug, Clone, Copy)]
pub(super) struct Columns {
    pub time: usize,
    pub celsius: usize,
    pub humidity: Option<usize>,
    /// How many the first line names, known or not.
    pub named: usize,
}

impl Columns {
    pub fn from_header(header: &csv::StringRecord) -> Result<Self, Problem> {
        let required = |wanted| {
            place(header, wanted)?.ok_or_else(|| {
                let found: Vec<String> = header.iter().take(12).map(|n| format!("'{}'", PlainText::new(n))).collect();
                Problem::NoColumn { wanted, found: found.join(", ") }
            })
        };
        let (time, celsius) = (required(TIME)?, required(CELSIUS)?);
        Ok(Self { time, celsius, humidity: place(header, HUMIDITY)?, named: header.len() })
    }
}

fn place(header: &csv::StringRecord, wanted: &'static str) -> Result<Option<usize>, Problem> {
    let mut places = header.iter().enumerate().filter(|(_, name)| name.eq_ignore_ascii_case(wanted)).map(|(i, _)| i);
    let first = places.next();
    if places.next().is_some() { Err(Problem::ColumnTwice { column: wanted }) } else { Ok(first) }
}

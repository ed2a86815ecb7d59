//! What can be wrong with a logger file, where, and what to write instead.

use super::times::Style;
use crate::text::PlainText;
use crate::when::BadTime;
use std::fmt;

/// A logger file that could not be read, at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LoggerFileError {
    pub(super) line: Option<usize>,
    pub(super) problem: Problem,
}

impl LoggerFileError {
    /// The line, counting from 1 and including blank and comment lines; `None` where it is the file as a whole.
    pub fn line(&self) -> Option<usize> {
        self.line
    }

    /// What is wrong there.
    pub fn problem(&self) -> &Problem {
        &self.problem
    }
}

impl fmt::Display for LoggerFileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}, ")?;
        }
        if let Some(column) = self.problem.column() {
            write!(f, "column '{column}', ")?;
        }
        self.problem.fmt(f)
    }
}

impl std::error::Error for LoggerFileError {}

/// What is wrong with a logger file.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Problem {
    #[error("not readable as text. Save the file as CSV in UTF-8")]
    NotUtf8,
    #[error(
        "the file is empty. Its first line names the columns, 'time,c', and each further line is a reading, '22:00,21.5'"
    )]
    Empty,
    #[error("the file names columns but has no readings. Add a line for each, such as '22:00,21.5'")]
    NoReadings,
    #[error(
        "no column is called '{wanted}'; found {found}. The first line names the columns: 'time' and 'c' (the \
         temperature in °C), as in 'time,c'"
    )]
    NoColumn { wanted: &'static str, found: String },
    #[error("two columns have this name. Rename or remove one")]
    ColumnTwice { column: &'static str },
    #[error("a quote (\") is opened and not closed before the line ends. Close it, or remove it")]
    OpenQuote,
    #[error("values: {found}, but columns named in the first line: {named}. {}", width_remedy(*.found, *.named))]
    Width { found: usize, named: usize },
    #[error("nothing is written. Write the value, or remove the line")]
    Missing { column: &'static str },
    #[error("'{given}' is not {expected}. Write a number such as {example}")]
    NotAFigure { column: &'static str, given: PlainText, expected: &'static str, example: &'static str },
    #[error(
        "'{given}' is not a time. Write 2026-03-02T23:40:00+01:00, 2026-03-02 23:40, 23:40, or hours since the start \
         such as 1.5"
    )]
    NotATime { given: PlainText },
    #[error("{0}")]
    BadTime(BadTime),
    #[error("'{given}' is {style}, but the file began with {begun}, '{first}'. Write all its times in one way")]
    OtherStyle { given: PlainText, style: Style, begun: Style, first: PlainText },
    #[error(
        "'{given}' is not later than '{before}' above it. Times must rise from line to line: sort them, or remove one"
    )]
    NotRising { given: PlainText, before: PlainText },
    #[error(
        "'{given}' after '{before}' would mean that most of a day has passed. If the lines are out of order, sort \
         them; if not, write the dates too, as in 2026-03-02 23:40"
    )]
    ClockBack { given: PlainText, before: PlainText },
    #[error(
        "'{given}' was never on the clocks here: they were put forward over it. If the logger keeps winter time, write \
         the times with their offset, as in 2026-03-29T02:30:00+01:00"
    )]
    LeftOut { given: PlainText },
}

impl Problem {
    fn column(&self) -> Option<&'static str> {
        match self {
            Problem::NotUtf8
            | Problem::Empty
            | Problem::NoReadings
            | Problem::NoColumn { .. }
            | Problem::OpenQuote
            | Problem::Width { .. } => None,
            Problem::ColumnTwice { column } | Problem::Missing { column } | Problem::NotAFigure { column, .. } => {
                Some(column)
            }
            Problem::NotATime { .. }
            | Problem::BadTime(_)
            | Problem::OtherStyle { .. }
            | Problem::NotRising { .. }
            | Problem::ClockBack { .. }
            | Problem::LeftOut { .. } => Some(super::columns::TIME),
        }
    }
}

fn width_remedy(found: usize, named: usize) -> &'static str {
    if found > named {
        "If the numbers have decimal commas, write 21.5 for 21,5, or part the columns with semicolons"
    } else {
        "Write a value for each column; one that is not known may be left empty between its commas"
    }
}

//! What can be wrong with a table of observations, where, and what to write instead.

use crate::text::PlainText;
use std::fmt;

/// One problem at its place.
#[derive(Debug, Clone, PartialEq)]
pub struct LookFileProblem {
    /// Counting from 1, blank and comment lines too; `None` where it is the file as a whole.
    pub line: Option<usize>,
    pub trouble: Trouble,
}

impl fmt::Display for LookFileProblem {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}, ")?;
        }
        if let Some(column) = self.trouble.column() {
            write!(f, "column '{column}', ")?;
        }
        self.trouble.fmt(f)
    }
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Trouble {
    #[error("not readable as text. Save the file as CSV in UTF-8")]
    NotUtf8,
    #[error(
        "the file is empty. Its first line names the columns, 'stage,c,dose_percent,after_h,by_h', and each further line is \
         an observation, 'gel,19.5,1.2,0.5,0.7'"
    )]
    Empty,
    #[error("the file names columns but has no observations. Add a line for each, such as 'gel,19.5,1.2,0.5,0.7'")]
    NoRows,
    #[error("a quote (\") is opened and not closed before the line ends. Close it, or remove it")]
    OpenQuote,
    #[error("no column is called '{wanted}'; found {found}. Say which it is with --column, as in --column c=Room")]
    NoColumn { wanted: PlainText, found: String },
    #[error(
        "no column holds times; found {found}. Wanted are 'after_h' (not there yet) and 'by_h' (there), in hours from first \
         contact, or 'after_min' and 'by_min'; say which they are with --column, as in --column by_h=Set"
    )]
    NoTimes { found: String },
    #[error("two columns have this name. Rename or remove one")]
    ColumnTwice { column: PlainText },
    #[error("nothing is written. Write {expected}, such as {example}, or remove the line")]
    Missing { column: PlainText, expected: &'static str, example: &'static str },
    #[error("'{given}' is not {expected}. Write it as in {example}")]
    NotThat { column: PlainText, given: PlainText, expected: String, example: &'static str },
    #[error(
        "neither a time at which it was not there yet nor one at which it was. Write at least one of them, or remove the line"
    )]
    NoTime,
    #[error(
        "not there yet at {after_h} h, but there at {by_h} h: the first must not be later than the second. Swap them?"
    )]
    NotAnInterval { after_h: f64, by_h: f64 },
    #[error("one time is written in hours and in minutes. Keep one of the two")]
    TimeTwice { column: PlainText },
}

impl Trouble {
    fn column(&self) -> Option<&PlainText> {
        match self {
            Trouble::ColumnTwice { column }
            | Trouble::Missing { column, .. }
            | Trouble::NotThat { column, .. }
            | Trouble::TimeTwice { column } => Some(column),
            Trouble::NotUtf8
            | Trouble::Empty
            | Trouble::NoRows
            | Trouble::OpenQuote
            | Trouble::NoColumn { .. }
            | Trouble::NoTimes { .. }
            | Trouble::NoTime
            | Trouble::NotAnInterval { .. } => None,
        }
    }
}

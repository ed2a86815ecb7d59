//! The file's lines that count, and their numbers.

use super::dialect::Dialect;
use std::iter;

/// A quote is opened and not closed before the line ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct OpenQuote;

/// What is left without blank and comment lines.
#[derive(Debug)]
pub(crate) struct Lines {
    text: String,
    /// The number of each kept line in the file, counting from 1.
    numbers: Vec<usize>,
}

impl Lines {
    pub fn of(text: &str) -> Self {
        let mut kept = Self { text: String::with_capacity(text.len() + 1), numbers: Vec::new() };
        for (line, number) in text.lines().zip(1..) {
            let start = line.trim_start();
            if !start.is_empty() && !start.starts_with('#') {
                kept.text.push_str(line);
                kept.text.push('\n');
                kept.numbers.push(number);
            }
        }
        kept
    }

    /// The line that names the columns.
    pub fn header(&self) -> Option<&str> {
        self.text.lines().next()
    }

    /// Each line's number and values, the header's first; quotes and outer spaces are taken off.
    pub fn records(&self, dialect: Dialect) -> impl Iterator<Item = (usize, Result<csv::StringRecord, OpenQuote>)> {
        let mut reader = dialect.reader(self.text.as_bytes());
        iter::from_fn(move || {
            let first = reader.position().line();
            let mut record = csv::StringRecord::new();
            // Reading text from memory, of any width, cannot fail.
            reader.read_record(&mut record).ok().filter(|&more| more)?;
            let place = usize::try_from(first).ok()?.checked_sub(1)?;
            let whole = reader.position().line() <= first + 1;
            Some((*self.numbers.get(place)?, if whole { Ok(record) } else { Err(OpenQuote) }))
        })
    }
}

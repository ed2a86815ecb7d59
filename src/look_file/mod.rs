//! Observations from a table of the user's own: CSV, a line for each, with the times in hours from first contact.
//!
//! The first line names the columns, in any order; which of them is which may be told ([`ColumnMap`]), and all others are
//! passed over. Columns are parted by commas, semicolons or tabs; where not by commas, numbers may have decimal commas. Blank
//! lines and lines that begin with `#` are skipped. Every problem is told, each with its line and column.

mod fact;
mod problem;
mod row;
#[cfg(test)]
mod tests;

pub use fact::{BadColumn, ColumnMap, Fact};
pub use problem::{LookFileProblem, Trouble};
pub use row::LookRow;

use crate::sense::{Dialect, Lines, OpenQuote};
use fact::Columns;

/// The rows of `bytes`, or everything that is wrong with them. A file without rows is wrong.
pub fn read_looks(bytes: &[u8], map: &ColumnMap) -> Result<Vec<LookRow>, Vec<LookFileProblem>> {
    let whole = |trouble| vec![LookFileProblem { line: None, trouble }];
    let text = str::from_utf8(bytes).map_err(|error| {
        let line = bytes[..error.valid_up_to()].split(|&b| b == b'\n').count();
        vec![LookFileProblem { line: Some(line), trouble: Trouble::NotUtf8 }]
    })?;
    let lines = Lines::of(text.strip_prefix('\u{feff}').unwrap_or(text));
    let dialect = lines.header().map(Dialect::of_header).ok_or_else(|| whole(Trouble::Empty))?;
    let mut records = lines.records(dialect);
    let Some((number, header)) = records.next() else { return Err(whole(Trouble::Empty)) };
    let at = |line: usize| move |trouble| LookFileProblem { line: Some(line), trouble };
    let header = header.map_err(|OpenQuote| vec![at(number)(Trouble::OpenQuote)])?;
    let columns =
        Columns::new(&header, map).map_err(|troubles| troubles.into_iter().map(at(number)).collect::<Vec<_>>())?;
    let (mut rows, mut problems) = (Vec::new(), Vec::new());
    for (number, values) in records {
        match values {
            Err(OpenQuote) => problems.push(at(number)(Trouble::OpenQuote)),
            Ok(values) if values.iter().all(str::is_empty) => {}
            Ok(values) => match row::read(number, &values, &columns, dialect) {
                Ok(row) => rows.push(row),
                Err(troubles) => problems.extend(troubles.into_iter().map(at(number))),
            },
        }
    }
    match (problems.is_empty(), rows.is_empty()) {
        (false, _) => Err(problems),
        (true, true) => Err(whole(Trouble::NoRows)),
        (true, false) => Ok(rows),
    }
}

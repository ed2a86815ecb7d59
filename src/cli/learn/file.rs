//! The table of observations that a command names.

use super::LearnError;
use crate::look_file::{ColumnMap, LookFileProblem, LookRow, read_looks};
use crate::text::printable;
use std::io::{self, Read};
use std::path::Path;

/// More than this nobody reads at once.
const MOST_TOLD: usize = 20;

/// Where the facts stand, as the arguments say.
pub(super) fn column_map(columns: &[String], fixed: &[String]) -> Result<ColumnMap, LearnError> {
    let mut map = ColumnMap::default();
    columns.iter().try_for_each(|pair| map.name(pair))?;
    fixed.iter().try_for_each(|pair| map.fix(pair))?;
    Ok(map)
}

/// The rows of the table at `path`, or of standard input where that is `-`; every problem is told.
pub(super) fn rows(path: &Path, map: &ColumnMap) -> Result<Vec<LookRow>, LearnError> {
    let file = shown(path);
    let bytes = bytes(path).map_err(|source| LearnError::Read { file: file.clone(), source })?;
    read_looks(&bytes, map).map_err(|problems| LearnError::Table { file, told: told(&problems) })
}

pub(super) fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

fn bytes(path: &Path) -> io::Result<Vec<u8>> {
    if path.as_os_str() == "-" {
        let mut bytes = Vec::new();
        io::stdin().lock().read_to_end(&mut bytes)?;
        Ok(bytes)
    } else {
        std::fs::read(path)
    }
}

fn told(problems: &[LookFileProblem]) -> String {
    let mut lines: Vec<String> = problems.iter().take(MOST_TOLD).map(|problem| format!("  {problem}")).collect();
    if problems.len() > MOST_TOLD {
        lines.push(format!("  … and {} more", problems.len() - MOST_TOLD));
    }
    lines.join("\n")
}

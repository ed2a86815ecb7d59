//! Where the calendar goes.

use crate::cli::whole_file::{folder_of, put_whole};
use crate::text::printable;
use std::io;
use std::path::{Path, PathBuf};

/// Why the calendar is not written.
#[derive(Debug, thiserror::Error)]
pub enum IcsError {
    #[error("'{0}' is no name for a calendar, and nothing is written; give one that ends in .ics")]
    NotIcs(String),
    #[error("there is no folder '{0}' for the calendar, and nothing is written; make it, or give another place")]
    NoFolder(String),
    #[error("the calendar '{path}' cannot be written ({source})")]
    Write { path: String, source: io::Error },
}

/// A place where a calendar may be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct IcsFile(PathBuf);

impl IcsFile {
    pub fn at(path: &Path) -> Result<Self, IcsError> {
        let shown = |path: &Path| printable(&path.to_string_lossy());
        let is_ics = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("ics"));
        if !is_ics || path.is_dir() {
            return Err(IcsError::NotIcs(shown(path)));
        }
        let folder = folder_of(path);
        if !folder.is_dir() {
            return Err(IcsError::NoFolder(shown(folder)));
        }
        Ok(Self(path.to_owned()))
    }

    /// Writes the whole calendar or nothing; an older one is replaced.
    pub fn write(&self, text: &str) -> Result<(), IcsError> {
        put_whole(&self.0, text).map_err(|source| IcsError::Write { path: self.shown(), source })
    }

    /// Its name, printable.
    pub fn shown(&self) -> String {
        printable(&self.0.to_string_lossy())
    }
}

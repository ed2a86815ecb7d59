//! What can go wrong with the notebook, and what to do about it.

use super::schema::LATEST;
use crate::text::printable;
use rusqlite::ErrorCode;
use std::path::{Path, PathBuf};
use std::{fmt, io};

/// The remedy for every place that will not do.
const ELSEWHERE: &str = "choose another place with --store or NIGHTPOUR_STORE";

/// The notebook could not be opened, read or written. Prints as a sentence with the path and the remedy.
#[derive(Debug)]
pub struct NotebookError {
    path: PathBuf,
    trouble: Trouble,
}

/// What is wrong with a notebook.
#[derive(Debug)]
pub(super) enum Trouble {
    /// The path cannot be followed, or the folder for it cannot be made.
    NoFolder(io::Error),
    /// The path names a folder.
    IsFolder,
    /// The file or its folder cannot be opened.
    CannotOpen(rusqlite::Error),
    /// The file or its folder may not be written.
    ReadOnly,
    /// The file is no database.
    NotADatabase,
    /// The file is a database, but of another program.
    Foreign,
    /// A newer version of this program wrote the file.
    Newer { found: i64 },
    /// The file system has no memory that two programs can share, which safe writing needs.
    NotShareable,
    /// No room on the disk.
    Full,
    /// Another program has held the notebook for as long as we were ready to wait.
    Busy,
    /// The file is broken.
    Damaged(rusqlite::Error),
    /// The disk failed while reading or writing.
    DiskFailed(rusqlite::Error),
    /// An entry would not read back from what would be written for it.
    WouldNotReadBack(String),
    /// Anything else `SQLite` says.
    Other(rusqlite::Error),
}

impl NotebookError {
    pub(super) fn new(path: &Path, trouble: impl Into<Trouble>) -> Self {
        Self { path: path.to_owned(), trouble: trouble.into() }
    }
}

impl From<rusqlite::Error> for Trouble {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::CannotOpen | ErrorCode::PermissionDenied) => Trouble::CannotOpen(error),
            Some(ErrorCode::ReadOnly) => Trouble::ReadOnly,
            Some(ErrorCode::NotADatabase) => Trouble::NotADatabase,
            Some(ErrorCode::DiskFull) => Trouble::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Trouble::Busy,
            Some(ErrorCode::DatabaseCorrupt) => Trouble::Damaged(error),
            Some(ErrorCode::SystemIoFailure) => Trouble::DiskFailed(error),
            _ => Trouble::Other(error),
        }
    }
}

impl fmt::Display for NotebookError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let path = printable(&self.path.to_string_lossy());
        match &self.trouble {
            Trouble::NoFolder(why) => {
                write!(
                    f,
                    "the folder for the notebook '{path}' cannot be made ({why}); make it yourself, or {ELSEWHERE}"
                )
            }
            Trouble::IsFolder => write!(
                f,
                "'{path}' is a folder, not a notebook; give the name of a file in it, as in '{path}/notebook.db'"
            ),
            Trouble::CannotOpen(_) => write!(
                f,
                "the notebook '{path}' cannot be opened; make sure that you may read and write it and its folder, \
                 or {ELSEWHERE}"
            ),
            Trouble::ReadOnly => write!(
                f,
                "the notebook '{path}' cannot be written; make the file and its folder writable, or {ELSEWHERE}"
            ),
            Trouble::NotADatabase => write!(
                f,
                "'{path}' is not a notebook but some other file, and was left as it is; move it away, or {ELSEWHERE}"
            ),
            Trouble::Foreign => write!(
                f,
                "'{path}' is a database of another program, not a notebook, and was left as it is; move it away, \
                 or {ELSEWHERE}"
            ),
            Trouble::Newer { found } => write!(
                f,
                "the notebook '{path}' was written by a newer version of this program (notebook version '{found}', \
                 this one knows up to {LATEST}) and was left as it is; update this program, or {ELSEWHERE}"
            ),
            Trouble::NotShareable => write!(
                f,
                "the notebook '{path}' lies where two programs cannot safely write at once (a network folder?); \
                 keep it on a disk of this machine: {ELSEWHERE}"
            ),
            Trouble::Full => write!(
                f,
                "the disk that holds the notebook '{path}' is full, and nothing of this was written; free some space \
                 and enter it again"
            ),
            Trouble::Busy => write!(
                f,
                "another program kept the notebook '{path}' for too long, and nothing of this was written; enter it \
                 again, and close the other program if it hangs"
            ),
            Trouble::Damaged(why) => write!(
                f,
                "the notebook '{path}' is damaged ({why}); copy it and the files beside it that begin with its name to \
                 a safe place before anything else, then put your last good copy there, or {ELSEWHERE}"
            ),
            Trouble::DiskFailed(why) => write!(
                f,
                "the disk failed under the notebook '{path}' ({why}); what was just entered may be missing: look at the \
                 last entries, keep a copy of the file, or {ELSEWHERE}"
            ),
            Trouble::WouldNotReadBack(why) => write!(
                f,
                "nothing was written to the notebook '{path}': the entry would not read back ({why}); this is a fault \
                 of this program, please report it"
            ),
            Trouble::Other(why) => {
                write!(f, "the notebook '{path}' cannot be used ({why}); try again, or {ELSEWHERE}")
            }
        }
    }
}

impl std::error::Error for NotebookError {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match &self.trouble {
            Trouble::NoFolder(source) => Some(source),
            Trouble::CannotOpen(source)
            | Trouble::Damaged(source)
            | Trouble::DiskFailed(source)
            | Trouble::Other(source) => Some(source),
            _ => None,
        }
    }
}

/// A check-then-write that wrote nothing.
#[derive(Debug, thiserror::Error)]
pub enum TransactError<E> {
    /// The notebook failed.
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    /// The caller looked at the newest entries and decided against writing.
    #[error("{0}")]
    Refused(E),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_cannot_carry_an_escape_sequence_into_the_message() {
        let words = NotebookError::new(Path::new("/tmp/\u{1b}[2Jpond"), Trouble::Foreign).to_string();
        assert!(words.starts_with("'/tmp/[2Jpond' is a database of another program"), "{words}");
    }
}

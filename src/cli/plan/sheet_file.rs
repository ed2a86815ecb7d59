//! Where the bench sheet goes.

use crate::cli::whole_file::{folder_of, put_whole};
use crate::text::printable;
use std::io;
use std::path::{Path, PathBuf};

/// Why the sheet is not written.
#[derive(Debug, thiserror::Error)]
pub enum SheetError {
    #[error("'{0}' is no name for a bench sheet, and nothing is written; give one that ends in .html or .htm")]
    NotHtml(String),
    #[error("'{0}' is the piece file itself, and stays as it is; give the sheet another name")]
    IsPiece(String),
    #[error("'{0}' is a folder, and nothing is written; give the sheet a name in it, such as 'sheet.html'")]
    IsFolder(String),
    #[error("there is no folder '{folder}' for the sheet, and nothing is written; make it, or give another place")]
    NoFolder { folder: String },
    #[error("the bench sheet '{path}' cannot be written ({source})")]
    Write { path: String, source: io::Error },
}

/// A place where a sheet may be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct SheetFile(PathBuf);

impl SheetFile {
    /// Looks whether a sheet of the piece in the file `piece` may go to `path`; an older sheet may.
    pub fn at(path: &Path, piece: &Path) -> Result<Self, SheetError> {
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        if !matches!(ending.as_deref(), Some("html" | "htm")) {
            return Err(SheetError::NotHtml(shown(path)));
        }
        if path.is_dir() {
            return Err(SheetError::IsFolder(shown(path)));
        }
        let folder = folder_of(path);
        if !folder.is_dir() {
            return Err(SheetError::NoFolder { folder: shown(folder) });
        }
        if let (Ok(sheet), Ok(piece)) = (path.canonicalize(), piece.canonicalize())
            && sheet == piece
        {
            return Err(SheetError::IsPiece(shown(path)));
        }
        Ok(Self(path.to_owned()))
    }

    /// Writes the whole sheet or nothing; returns where it is, printable.
    pub fn write(&self, html: &str) -> Result<String, SheetError> {
        let path = shown(&self.0);
        match put_whole(&self.0, html) {
            Ok(()) => Ok(path),
            Err(source) => Err(SheetError::Write { path, source }),
        }
    }
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

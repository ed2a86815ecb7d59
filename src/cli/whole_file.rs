//! A file that is written whole or not at all.

use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// Puts `text` in place of whatever is at `path`, the whole of it or nothing.
pub(super) fn put_whole(path: &Path, text: &str) -> io::Result<()> {
    whole_file(folder_of(path), text)?.persist(path)?;
    Ok(())
}

/// The folder a file at `path` lies in.
pub(super) fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// A file of `folder`, with `text` in it and on the disk, that only has to be given its name.
pub(super) fn whole_file(folder: &Path, text: &str) -> io::Result<NamedTempFile> {
    let mut file = NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    Ok(file)
}

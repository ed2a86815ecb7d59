//! A file that is written whole or not at all.

use std::io::{self, Write};
use std::path::Path;
use tempfile::NamedTempFile;

/// A file of `folder`, with `text` in it and on the disk, that only has to be given its name.
pub(super) fn whole_file(folder: &Path, text: &str) -> io::Result<NamedTempFile> {
    let mut file = NamedTempFile::new_in(folder)?;
    file.write_all(text.as_bytes())?;
    file.as_file().sync_all()?;
    Ok(file)
}

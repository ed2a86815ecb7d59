//! Where the notebook lies: the folder is made if it is missing, and the path made independent of the working folder.

use super::error::{NotebookError, Trouble};
use std::ffi::OsString;
use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

/// Makes the folder of `path` where missing and gives back the path of the file itself, links followed.
///
/// The file may not exist yet. It is never opened here: closing it would drop the locks `SQLite` holds on it for
/// another connection of this process (a rule of POSIX locks; see sqlite.org/howtocorrupt.html, 2.2).
pub(super) fn settle(path: &Path) -> Result<PathBuf, NotebookError> {
    let failed = |why| NotebookError::new(path, Trouble::NoFolder(why));
    let absolute = std::path::absolute(path).map_err(failed)?;
    let (Some(folder), Some(name), false) = (absolute.parent(), absolute.file_name(), absolute.is_dir()) else {
        return Err(NotebookError::new(path, Trouble::IsFolder));
    };
    make_folder(folder).map_err(failed)?;
    match fs::canonicalize(&absolute) {
        Ok(file) => Ok(file),
        Err(missing) if missing.kind() == io::ErrorKind::NotFound => {
            Ok(fs::canonicalize(folder).map_err(failed)?.join(name))
        }
        Err(other) => Err(failed(other)),
    }
}

/// Makes `folder` and what is missing above it, and has the disk remember: a notebook in a folder that a power cut
/// forgets is lost whatever `SQLite` did.
fn make_folder(folder: &Path) -> io::Result<()> {
    let missing: Vec<&Path> = folder.ancestors().take_while(|ancestor| !ancestor.exists()).collect();
    fs::create_dir_all(folder)?;
    for parent in missing.iter().filter_map(|made| made.parent()) {
        // Some systems cannot open or sync a folder; there the file system has to look after itself.
        let _ = File::open(parent).and_then(|opened| opened.sync_all());
    }
    Ok(())
}

/// The write-ahead log beside the notebook: the file every write goes to first.
pub(super) fn log_of(notebook: &Path) -> PathBuf {
    let mut name = OsString::from(notebook);
    name.push("-wal");
    PathBuf::from(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn missing_folders_are_made_but_the_file_is_not() {
        let home = tempfile::tempdir().unwrap();
        let path = settle(&home.path().join("a/b/notebook.db")).unwrap();
        assert!(path.is_absolute() && path.parent().unwrap().is_dir() && !path.exists());
        assert!(log_of(&path).ends_with("a/b/notebook.db-wal"));
    }

    #[test]
    fn a_folder_is_no_notebook_and_a_file_is_no_folder() {
        let home = tempfile::tempdir().unwrap();
        let words = settle(home.path()).unwrap_err().to_string();
        assert!(words.contains("is a folder, not a notebook; give the name of a file in it"), "{words}");

        let file = home.path().join("pond.txt");
        fs::write(&file, "koi").unwrap();
        let words = settle(&file.join("notebook.db")).unwrap_err().to_string();
        assert!(words.contains("pond.txt/notebook.db' cannot be made") && words.contains("--store"), "{words}");
    }
}

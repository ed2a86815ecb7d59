//! The user's own profile of a material, and the ones it was before.

use crate::cli::whole_file::whole_file;
use crate::folders::Folders;
use crate::material::{Item, MaterialId, Origin};
use std::io;
use std::path::{Path, PathBuf};

/// Within the folder of the profiles.
const EARLIER: &str = "earlier";
/// The ending of what was gone back from.
const TAKEN_BACK: &str = "taken-back";

/// Where a material's files are.
pub(super) struct Versions {
    folder: PathBuf,
    earlier: PathBuf,
    file: PathBuf,
}

impl Versions {
    pub fn of(id: &MaterialId, folders: &Folders) -> Self {
        let folder = folders.profiles();
        let (earlier, file) = (folder.join(EARLIER).join(id.as_str()), folder.join(format!("{id}.toml")));
        Self { folder, earlier, file }
    }

    /// The file in use, once there is one.
    pub fn file(&self) -> &Path {
        &self.file
    }

    /// Puts `text` in the place of what `item` was read from, and keeps that.
    pub fn replace(&self, item: &Item, text: &str) -> io::Result<()> {
        std::fs::create_dir_all(&self.earlier)?;
        let kept = self.numbered(self.newest()?.map_or(1, |newest| newest + 1));
        whole_file(&self.earlier, &item.source)?.persist_noclobber(kept).map_err(|error| error.error)?;
        whole_file(&self.folder, text)?.persist(&self.file).map_err(|error| error.error)?;
        Ok(())
    }

    /// Goes back to the newest one before; `None` where there is none. The built-in one needs no file.
    pub fn back(&self, built_in: Option<&Item>) -> io::Result<Option<Origin>> {
        let Some(newest) = self.newest()? else { return Ok(None) };
        let kept = self.numbered(newest);
        let text = std::fs::read_to_string(&kept)?;
        if self.file.exists() {
            let aside = self.earlier.join(format!("{newest}.{TAKEN_BACK}"));
            whole_file(&self.earlier, &std::fs::read_to_string(&self.file)?)?
                .persist(aside)
                .map_err(|error| error.error)?;
        }
        let is_built_in = built_in.is_some_and(|item| item.source == text);
        if is_built_in {
            match std::fs::remove_file(&self.file) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
                _ => {}
            }
        } else {
            whole_file(&self.folder, &text)?.persist(&self.file).map_err(|error| error.error)?;
        }
        std::fs::remove_file(kept)?;
        let shown = super::file::shown(&self.file);
        Ok(Some(if is_built_in { Origin::Embedded } else { Origin::File(shown) }))
    }

    fn numbered(&self, number: u32) -> PathBuf {
        self.earlier.join(format!("{number}.toml"))
    }

    /// The number of the newest one before.
    fn newest(&self) -> io::Result<Option<u32>> {
        let entries = match std::fs::read_dir(&self.earlier) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(None),
            Err(error) => return Err(error),
        };
        let mut newest = None;
        for entry in entries {
            let path = entry?.path();
            let number = path.file_stem().and_then(|stem| stem.to_str()?.parse::<u32>().ok());
            if path.extension().is_some_and(|ending| ending == "toml") {
                newest = newest.max(number);
            }
        }
        Ok(newest)
    }
}

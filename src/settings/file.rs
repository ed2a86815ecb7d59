//! The settings' file.

use super::{Settings, read_settings};
use crate::folders::{Trouble, read_text};
use crate::material::fingerprint;
use crate::strict::Problem;
use crate::text::printable;
use std::io;
use std::path::Path;

/// A commented example of everything that can be settled.
pub const EXAMPLE: &str = include_str!("example.toml");

/// Settings that cannot be used.
#[derive(Debug)]
pub struct BadSettings {
    /// Printable.
    pub file: String,
    /// Empty where it could not be read.
    pub source: String,
    pub trouble: Trouble,
}

impl BadSettings {
    /// One short line about it.
    pub fn words(&self) -> String {
        format!("your settings '{}' are not used: {}", self.file, self.trouble)
    }

    /// What is wrong in it, in the order of the file.
    pub fn problems(&self) -> &[Problem] {
        match &self.trouble {
            Trouble::Problems(problems) => problems,
            _ => &[],
        }
    }
}

/// The settings in the file at `path`; the usual ones where there is none.
pub fn load(path: &Path) -> Result<Settings, BadSettings> {
    let bad = |source: String, trouble| BadSettings { file: printable(&path.display().to_string()), source, trouble };
    match read_text(path) {
        Ok(source) => match read_settings(&source) {
            Ok(read) => Ok(Settings { fingerprint: fingerprint(&source).0, ..read.value }),
            Err(problems) => Err(bad(source, Trouble::Problems(problems))),
        },
        Err(Trouble::Io(missing)) if missing.kind() == io::ErrorKind::NotFound => Ok(Settings::default()),
        Err(trouble) => Err(bad(String::new(), trouble)),
    }
}

//! Where the user's files are, and how they are read.

mod profiles;

pub use profiles::{BadFile, Shelf, Trouble, material_of, profile_files, read_text, shelf};

use etcetera::{BaseStrategy, choose_base_strategy};
use std::ffi::OsString;
use std::path::{Path, PathBuf};

/// Name of the folders that are ours, within the user's configuration and data folders.
const OURS: &str = "nightpour";

/// The folders and files of this user.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Folders {
    config: PathBuf,
    notebook: PathBuf,
}

/// The system does not say where this user's files are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("no home folder is known here; set NIGHTPOUR_CONFIG to a folder and NIGHTPOUR_STORE to a notebook file")]
pub struct NoHome;

impl Folders {
    /// The folders of the running process: the XDG ones (on Windows, those of the system), unless
    /// `NIGHTPOUR_CONFIG` names another configuration folder or `NIGHTPOUR_STORE` another notebook file.
    pub fn from_environment() -> Result<Self, NoHome> {
        let base = choose_base_strategy().ok().map(|base| (base.config_dir(), base.data_dir()));
        Self::resolve(|name| std::env::var_os(name), base)
    }

    /// These very places, whatever the environment says: for tests and rehearsals.
    pub fn at(config: PathBuf, notebook: PathBuf) -> Self {
        Self { config, notebook }
    }

    /// `variable` looks up an environment variable; `base` is the configuration and the data folder of all programs.
    fn resolve(variable: impl Fn(&str) -> Option<OsString>, base: Option<(PathBuf, PathBuf)>) -> Result<Self, NoHome> {
        let given = |name| variable(name).filter(|value| !value.is_empty()).map(PathBuf::from);
        let (config, data) = base.map_or((None, None), |(config, data)| (Some(config), Some(data)));
        Ok(Self {
            config: given("NIGHTPOUR_CONFIG").or_else(|| Some(config?.join(OURS))).ok_or(NoHome)?,
            notebook: given("NIGHTPOUR_STORE")
                .or_else(|| Some(data?.join(OURS).join("notebook.sqlite")))
                .ok_or(NoHome)?,
        })
    }

    /// The configuration folder; it need not exist.
    pub fn config(&self) -> &Path {
        &self.config
    }

    /// The user's own profiles; it need not exist.
    pub fn profiles(&self) -> PathBuf {
        self.config.join("profiles")
    }

    /// The user's settings; the file need not exist.
    pub fn settings(&self) -> PathBuf {
        self.config.join("config.toml")
    }

    /// The notebook file; neither it nor its folder need exist.
    pub fn notebook(&self) -> &Path {
        &self.notebook
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn resolve(variables: &[(&str, &str)], base: bool) -> Result<Folders, NoHome> {
        let find =
            |wanted: &str| variables.iter().find(|(name, _)| *name == wanted).map(|(_, value)| OsString::from(value));
        Folders::resolve(find, base.then(|| (PathBuf::from("/c"), PathBuf::from("/d"))))
    }

    #[test]
    fn the_usual_folders_hold_one_of_ours() {
        let folders = resolve(&[("NIGHTPOUR_CONFIG", "")], true).unwrap();
        assert_eq!(folders.profiles(), Path::new("/c/nightpour/profiles"));
        assert_eq!(folders.notebook(), Path::new("/d/nightpour/notebook.sqlite"));
    }

    #[test]
    fn variables_win_and_make_a_home_unnecessary() {
        let both = [("NIGHTPOUR_CONFIG", "/x"), ("NIGHTPOUR_STORE", "/y/n.db")];
        let folders = resolve(&both, false).unwrap();
        assert_eq!((folders.config(), folders.notebook()), (Path::new("/x"), Path::new("/y/n.db")));
        assert_eq!(resolve(&both[..1], false), Err(NoHome));
    }
}

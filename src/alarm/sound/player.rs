//! A program that plays a WAV file.

use crate::limited::{self, Failed, Job};
use crate::text::printable;
use std::ffi::OsStr;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Longer than any tone of ours.
const WITHIN: Duration = Duration::from_secs(12);

/// The variable with the file's path, for players that take no argument.
const TONE: &str = "NIGHTPOUR_TONE";

/// What is looked for, in this order, each with what keeps it quiet and makes it end. The file comes last.
const KNOWN: [&[&str]; 8] = [
    &["pw-play"],
    &["paplay"],
    &["aplay", "-q"],
    &["afplay"],
    &["play", "-q"],
    &["ffplay", "-v", "error", "-nodisp", "-autoexit"],
    &["mpv", "--no-video", "--really-quiet"],
    &["powershell", "-NoProfile", "-Command", "(New-Object Media.SoundPlayer $env:NIGHTPOUR_TONE).PlaySync()"],
];

/// A player that is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(in crate::alarm) struct Player {
    run: Vec<String>,
}

/// There is none.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub(in crate::alarm) enum NoPlayer {
    #[error("no sound player is installed (looked for {})", KNOWN.map(|run| run[0]).join(", "))]
    NotFound,
    #[error("the player '{0}' of your settings is not there")]
    NotThere(String),
}

impl Player {
    /// The user's own, or all that are installed, the likeliest first.
    pub fn find(own: Option<&[String]>) -> Result<Vec<Self>, NoPlayer> {
        let path = std::env::var_os("PATH").unwrap_or_default();
        if let Some(run) = own {
            let name = run.first().map(String::as_str).unwrap_or_default();
            let there = is_there(name, &path);
            return if there { Ok(vec![Self { run: run.to_vec() }]) } else { Err(NoPlayer::NotThere(printable(name))) };
        }
        let there = KNOWN.iter().filter(|run| is_there(run[0], &path));
        let found: Vec<Self> =
            there.map(|run| Self { run: run.iter().map(|word| (*word).to_owned()).collect() }).collect();
        if found.is_empty() { Err(NoPlayer::NotFound) } else { Ok(found) }
    }

    pub fn name(&self) -> String {
        printable(self.run.first().map(String::as_str).unwrap_or_default())
    }

    /// Plays the file to its end.
    pub fn play(&self, file: &str) -> Result<(), Failed> {
        let mut run = self.run.clone();
        let variables = [(TONE, file.to_owned())];
        // Named in its own command, a file that is an argument too would be taken as more of it.
        if !run.iter().any(|word| word.contains(TONE)) {
            run.push(file.to_owned());
        }
        limited::run(Job { run: &run, variables: &variables, input: "", within: WITHIN }).map(drop)
    }
}

/// Whether a program of this name, or at this path, is there.
fn is_there(name: &str, path: &OsStr) -> bool {
    if name.is_empty() {
        return false;
    }
    let named = |folder: PathBuf| {
        let file = folder.join(name);
        file.is_file() || (cfg!(windows) && file.with_extension("exe").is_file())
    };
    if Path::new(name).components().count() > 1 {
        Path::new(name).is_file()
    } else {
        std::env::split_paths(path).any(named)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_player_is_looked_for_where_programs_are() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("aplay"), "").unwrap();
        let path = folder.path().as_os_str();
        assert!(is_there("aplay", path) && !is_there("paplay", path) && !is_there("", path));
        assert!(is_there(&folder.path().join("aplay").display().to_string(), OsStr::new("")));
        let own = ["/no/such/player".to_owned()];
        assert_eq!(Player::find(Some(&own)), Err(NoPlayer::NotThere("/no/such/player".to_owned())));
    }
}

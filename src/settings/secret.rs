//! Passwords and tokens: never in the settings themselves, but in a file or an environment variable.

use crate::text::{is_hostile, printable};
use std::fmt;
use std::path::PathBuf;

/// Where a secret is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Secret {
    File(PathBuf),
    Variable(String),
}

/// A secret cannot be had.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoSecret {
    #[error("the secret's file '{file}' cannot be read ({why})")]
    Unread { file: String, why: String },
    #[error("{0} is empty")]
    Empty(String),
    #[error("{0} is more than one line of plain characters")]
    NotALine(String),
}

impl Secret {
    /// Reads it, without the line end a file has. Asked at every use, so that a changed one counts.
    pub fn read(&self) -> Result<String, NoSecret> {
        let text = match self {
            Secret::File(path) => std::fs::read_to_string(path).map_err(|why| NoSecret::Unread {
                file: printable(&path.display().to_string()),
                why: why.to_string(),
            })?,
            Secret::Variable(name) => std::env::var(name).unwrap_or_default(),
        };
        let secret = text.trim();
        if secret.is_empty() {
            return Err(NoSecret::Empty(self.to_string()));
        }
        // It goes into a header, where a line end would begin another one.
        if secret.chars().any(is_hostile) {
            return Err(NoSecret::NotALine(self.to_string()));
        }
        Ok(secret.to_owned())
    }
}

impl fmt::Display for Secret {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Secret::File(path) => write!(f, "the secret's file '{}'", printable(&path.display().to_string())),
            Secret::Variable(name) => write!(f, "the environment variable '{}'", printable(name)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_secret_is_one_plain_line() {
        let folder = tempfile::tempdir().unwrap();
        let file = |name: &str, text: &str| {
            let path = folder.path().join(name);
            std::fs::write(&path, text).unwrap();
            Secret::File(path)
        };
        assert_eq!(file("a", "koi-7\n").read().as_deref(), Ok("koi-7"));
        assert!(matches!(file("b", " \n").read(), Err(NoSecret::Empty(_))));
        assert!(matches!(file("c", "a\r\nHost: elsewhere").read(), Err(NoSecret::NotALine(_))));
        assert!(matches!(Secret::File(folder.path().join("d")).read(), Err(NoSecret::Unread { .. })));
        assert!(matches!(Secret::Variable("NIGHTPOUR_NO_SUCH".to_owned()).read(), Err(NoSecret::Empty(_))));
    }
}

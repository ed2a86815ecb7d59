//! A notebook and a configuration folder of a test's own, and the program run on them.

use serde_json::Value;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

pub struct Home {
    folder: TempDir,
}

/// What a command said, and whether it did its work.
pub struct Said {
    pub out: String,
    pub err: String,
    pub code: i32,
}

impl Home {
    pub fn new() -> Self {
        Self { folder: tempfile::tempdir().unwrap() }
    }

    fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn store(&self) -> PathBuf {
        self.at("notebook.sqlite")
    }

    /// The path of a file of this home.
    pub fn path(&self, name: &str) -> String {
        self.at(name).to_str().unwrap().to_owned()
    }

    /// Writes a file of this home, and gives its path.
    pub fn write(&self, name: &str, text: &str) -> String {
        std::fs::write(self.at(name), text).unwrap();
        self.path(name)
    }

    /// The program with `arguments`, all it is told by its surroundings being this home.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_nightpour"));
        command
            .args(arguments)
            .env_clear()
            .env("HOME", self.folder.path())
            .env("TZ", "UTC")
            .env("PATH", std::env::var("PATH").unwrap_or_default())
            .stdin(Stdio::null());
        command.env("NIGHTPOUR_STORE", self.store()).env("NIGHTPOUR_CONFIG", self.at("config"));
        command
    }

    pub fn say(&self, arguments: &[&str]) -> Said {
        let Output { status, stdout, stderr } = self.command(arguments).output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        Said { out: text(stdout), err: text(stderr), code: status.code().unwrap() }
    }

    /// What a command prints that does its work.
    #[track_caller]
    pub fn run(&self, arguments: &[&str]) -> String {
        let said = self.say(arguments);
        assert_eq!(said.code, 0, "{arguments:?}: {}", said.err);
        said.out
    }

    #[track_caller]
    pub fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.run(arguments)).unwrap()
    }
}

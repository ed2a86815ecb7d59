//! A notebook and a configuration folder of a test's own, and the program started on them.

use crate::pty::{Screen, Size};
use portable_pty::CommandBuilder;
use serde_json::Value;
use std::path::PathBuf;
use std::process::{Command, Output, Stdio};
use tempfile::TempDir;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_nightpour");

/// Stacked panes, with the notebook in sight.
pub const USUAL: Size = Size(80, 24);

pub struct Home {
    folder: TempDir,
}

impl Home {
    /// Without sound: there is no telling which players are installed here.
    pub fn new() -> Self {
        let home = Self { folder: tempfile::tempdir().unwrap() };
        home.settle("[channel.sound]\non = false\n");
        home
    }

    /// Writes the settings.
    pub fn settle(&self, settings: &str) {
        std::fs::create_dir_all(self.at("config")).unwrap();
        std::fs::write(self.at("config/config.toml"), settings).unwrap();
    }

    pub fn at(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    /// The notebook file.
    pub fn store(&self) -> PathBuf {
        self.at("notebook.sqlite")
    }

    /// All the program is told by its surroundings. The session bus is a socket that is not there.
    pub fn environment(&self) -> Vec<(&'static str, String)> {
        let path = |name: &str| self.at(name).to_str().unwrap().to_owned();
        vec![
            ("PATH", std::env::var("PATH").unwrap()),
            ("HOME", path("")),
            ("TERM", "xterm-256color".to_owned()),
            ("TZ", "UTC".to_owned()),
            ("NIGHTPOUR_STORE", path("notebook.sqlite")),
            ("NIGHTPOUR_CONFIG", path("config")),
            ("DBUS_SESSION_BUS_ADDRESS", format!("unix:path={}", path("no-bus"))),
        ]
    }

    /// `arguments`, the first of which is the program, for a terminal.
    pub fn command(&self, arguments: &[&str]) -> CommandBuilder {
        let mut command = CommandBuilder::new(arguments[0]);
        command.args(&arguments[1..]);
        command.env_clear();
        for (name, value) in self.environment() {
            command.env(name, value);
        }
        command.cwd(self.folder.path());
        command
    }

    /// Puts `text` into the user's own profiles.
    pub fn write_profile(&self, name: &str, text: &str) {
        let folder = self.at("config/profiles");
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(folder.join(name), text).unwrap();
    }

    /// The bench screen in a terminal of the usual size, its first picture drawn.
    pub fn open(&self) -> Screen {
        let screen = Screen::start(self.command(&[PROGRAM]), USUAL);
        screen.see("? help");
        screen
    }

    /// Runs a command in a second process, without a terminal.
    pub fn output(&self, arguments: &[&str]) -> Output {
        Command::new(PROGRAM)
            .args(arguments)
            .env_clear()
            .envs(self.environment())
            .stdin(Stdio::null())
            .output()
            .unwrap()
    }

    /// What such a command prints.
    #[track_caller]
    pub fn run(&self, arguments: &[&str]) -> String {
        let output = self.output(arguments);
        assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).unwrap()
    }

    #[track_caller]
    pub fn json(&self, arguments: &[&str]) -> Value {
        serde_json::from_str(&self.run(arguments)).unwrap()
    }

    /// The running batches.
    pub fn clocks(&self) -> Vec<Value> {
        self.json(&["clocks", "--json"]).as_array().unwrap().clone()
    }

    /// Every entry's line, undone ones crossed out.
    pub fn notebook(&self) -> Vec<String> {
        let entries = self.json(&["notebook", "--json"]);
        let line = |entry: &Value| {
            let words = entry["words"].as_str().unwrap();
            if entry["undone"].as_bool().unwrap() { format!("× {words}") } else { words.to_owned() }
        };
        entries.as_array().unwrap().iter().map(line).collect()
    }
}

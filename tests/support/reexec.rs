//! Starts one test of the running test binary as a program of its own.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use std::ffi::OsStr;
use std::path::Path;
use std::process::{Child, Command, Stdio};

/// The variable that tells the child which notebook to use.
const NOTEBOOK: &str = "NIGHTPOUR_TEST_NOTEBOOK";

/// Starts the ignored test `name`, its standard output piped, with `notebook` for [`notebook_from_parent`].
pub fn start(name: &str, notebook: &Path, args: &[(&str, &OsStr)]) -> Child {
    Command::new(std::env::current_exe().unwrap())
        .args(["--exact", name, "--ignored", "--nocapture"])
        .env(NOTEBOOK, notebook)
        .envs(args.iter().copied())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap()
}

/// In the child: the notebook it was started for. `None` when somebody runs the ignored tests by hand.
pub fn notebook_from_parent() -> Option<std::path::PathBuf> {
    std::env::var_os(NOTEBOOK).map(Into::into)
}

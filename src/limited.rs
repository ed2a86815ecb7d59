//! Running a command of the user's: its arguments as data, its time limited, its output cut.

use crate::text::{PlainText, printable};
use std::io::{Read, Write};
use std::process::{Child, Command, ExitStatus, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::thread;
use std::time::Duration;

/// More output than this is not read.
const MOST_BYTES: u64 = 64 * 1024;
/// How often a running command is looked at.
const LOOK_EVERY: Duration = Duration::from_millis(20);

/// A command to run.
#[derive(Debug, Clone, Copy)]
pub struct Job<'a> {
    /// The program and its arguments, as the program gets them; no shell reads them.
    pub run: &'a [String],
    /// Variables added to its environment.
    pub variables: &'a [(&'a str, String)],
    /// What it can read; then its input ends.
    pub input: &'a str,
    pub within: Duration,
}

/// A command that did not do its work.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Failed {
    #[error("no command is named")]
    NoCommand,
    #[error("'{program}' cannot be started ({why})")]
    NotStarted { program: String, why: String },
    #[error("'{program}' did not end within {} s and was stopped", .within.as_secs_f64())]
    TooLong { program: String, within: Duration },
    #[error("'{program}' failed with {how}{said}")]
    Bad { program: String, how: String, said: PlainText },
}

/// Runs the job and gives back what it printed. Never takes much longer than `within`, whatever the command does.
pub fn run(job: Job<'_>) -> Result<String, Failed> {
    let [name, arguments @ ..] = job.run else { return Err(Failed::NoCommand) };
    let program = printable(name);
    let mut command = Command::new(name);
    command.args(arguments).envs(job.variables.iter().map(|(name, value)| (name, value)));
    command.stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    own_group(&mut command);
    let not_started = |why: std::io::Error| Failed::NotStarted { program: program.clone(), why: why.to_string() };
    let mut child = command.spawn().map_err(not_started)?;
    if let Some(mut input) = child.stdin.take() {
        let text = job.input.to_owned();
        // On a thread of its own: a command that reads nothing must not hold us. One that has ended already needs nothing.
        thread::spawn(move || drop(input.write_all(text.as_bytes())));
    }
    let (printed, complained) = (collect(child.stdout.take()), collect(child.stderr.take()));
    let Some(status) = wait(&mut child, job.within) else {
        stop(&mut child);
        return Err(Failed::TooLong { program, within: job.within });
    };
    // Something it has left behind may hold its output open for ever.
    let printed = printed.recv_timeout(Duration::from_secs(1)).unwrap_or_default();
    if status.success() {
        return Ok(printed);
    }
    let complained = complained.recv_timeout(Duration::from_secs(1)).unwrap_or_default();
    let last = complained.lines().rev().find(|line| !line.trim().is_empty());
    let said = PlainText::new(&last.map(|line| format!(": {line}")).unwrap_or_default());
    Err(Failed::Bad { program, how: status.to_string(), said })
}

/// A group of its own, so that what it starts can be stopped with it, and a Ctrl-C at the screen does not reach it.
fn own_group(command: &mut Command) {
    #[cfg(unix)]
    std::os::unix::process::CommandExt::process_group(command, 0);
    #[cfg(not(unix))]
    let _ = command;
}

fn collect(stream: Option<impl Read + Send + 'static>) -> Receiver<String> {
    let (sender, receiver) = channel();
    if let Some(stream) = stream {
        thread::spawn(move || {
            let mut bytes = Vec::new();
            let mut stream = stream.take(MOST_BYTES);
            // What came until then counts.
            let _ = stream.read_to_end(&mut bytes);
            let _ = sender.send(String::from_utf8_lossy(&bytes).into_owned());
            // Read on, or a command with much to say would wait for us.
            let _ = std::io::copy(stream.get_mut(), &mut std::io::sink());
        });
    }
    receiver
}

fn wait(child: &mut Child, within: Duration) -> Option<ExitStatus> {
    let mut waited = Duration::ZERO;
    loop {
        match child.try_wait() {
            Ok(Some(status)) => return Some(status),
            Ok(None) if waited < within => thread::sleep(LOOK_EVERY),
            Ok(None) | Err(_) => return None,
        }
        waited += LOOK_EVERY;
    }
}

fn stop(child: &mut Child) {
    #[cfg(unix)]
    if let Some(group) = i32::try_from(child.id()).ok().and_then(rustix::process::Pid::from_raw) {
        // It may have ended this very moment.
        let _ = rustix::process::kill_process_group(group, rustix::process::Signal::KILL);
    }
    let _ = child.kill();
    let _ = child.wait();
}

#[cfg(all(test, unix))]
mod tests {
    use super::*;

    fn sh(script: &str, input: &str, within_ms: u64) -> Result<String, Failed> {
        let run = ["sh", "-c", script, "koi; touch /tmp/never"].map(str::to_owned);
        let variables = [("NIGHTPOUR_TEST", "$(date) 'koi' \"pond\"".to_owned())];
        super::run(Job { run: &run, variables: &variables, input, within: Duration::from_millis(within_ms) })
    }

    #[test]
    fn arguments_variables_and_input_arrive_as_data() {
        let printed = sh("printf '%s|%s|' \"$0\" \"$NIGHTPOUR_TEST\"; cat", "a; b\nc", 10_000).unwrap();
        assert_eq!(printed, "koi; touch /tmp/never|$(date) 'koi' \"pond\"|a; b\nc");
    }

    #[test]
    fn what_fails_says_how() {
        let bad = sh("echo first >&2; echo '\u{1b}[31mno koi' >&2; exit 3", "", 10_000).unwrap_err().to_string();
        assert_eq!(bad, "'sh' failed with exit status: 3: [31mno koi");
        let missing = super::run(Job {
            run: &["/no/such/program".to_owned()],
            variables: &[],
            input: "",
            within: Duration::from_secs(1),
        });
        assert!(matches!(missing, Err(Failed::NotStarted { .. })), "{missing:?}");
        assert_eq!(
            super::run(Job { run: &[], variables: &[], input: "", within: Duration::ZERO }),
            Err(Failed::NoCommand)
        );
    }

    #[test]
    fn what_hangs_is_stopped_with_all_it_has_started() {
        let folder = tempfile::tempdir().unwrap();
        let mark = folder.path().join("alive");
        let script = format!("(sleep 1.2; touch '{}') & trap '' TERM; while :; do sleep 0.1; done", mark.display());
        assert!(matches!(sh(&script, "", 200), Err(Failed::TooLong { .. })));
        thread::sleep(Duration::from_millis(1500));
        assert!(!mark.exists(), "what it had started went on");
    }

    #[test]
    fn a_flood_is_cut_and_something_left_behind_holds_nothing_up() {
        let printed = sh("yes | head -c 1000000", "", 10_000).unwrap();
        assert_eq!(printed.len() as u64, MOST_BYTES);
        assert!(sh("sleep 30 & echo koi", "", 10_000).is_ok());
    }
}

//! A vigil as a process, and what it says.

use crate::home::Home;
use jiff::{SignedDuration, Timestamp};
use rustix::process::{Pid, Resource, Rlimit, Signal, kill_process, prlimit};
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};
use std::sync::{Arc, Mutex};
use std::thread;
use std::time::{Duration, Instant};

/// How long to wait for what must come: far longer than it takes, because a busy machine is no failure.
pub const PATIENCE: Duration = Duration::from_secs(30);

pub struct Vigil {
    child: Child,
    lines: Arc<Mutex<Vec<String>>>,
}

impl Vigil {
    pub fn start(home: &Home) -> Self {
        Self::of(home.command(&["vigil"]))
    }

    pub fn of(mut command: Command) -> Self {
        let mut child = command.stdout(Stdio::piped()).stderr(Stdio::inherit()).spawn().unwrap();
        let lines: Arc<Mutex<Vec<String>>> = Arc::default();
        let (out, to) = (child.stdout.take().unwrap(), Arc::clone(&lines));
        thread::spawn(move || {
            for line in BufReader::new(out).lines().map_while(Result::ok) {
                to.lock().unwrap().push(line);
            }
        });
        let vigil = Self { child, lines };
        vigil.see("keeping watch");
        vigil
    }

    pub fn lines(&self) -> Vec<String> {
        self.lines.lock().unwrap().clone()
    }

    /// How many of its lines hold `words`.
    pub fn count(&self, words: &str) -> usize {
        self.lines().iter().filter(|line| line.contains(words)).count()
    }

    /// Waits for a line with `words`, and says how long that took.
    #[track_caller]
    pub fn see(&self, words: &str) -> Duration {
        self.see_times(words, 1)
    }

    #[track_caller]
    pub fn see_times(&self, words: &str, times: usize) -> Duration {
        wait_for(words, || self.count(words) >= times, || format!("{:#?}", self.lines()))
    }

    /// Waits for it to end by itself, without an error.
    #[track_caller]
    pub fn ends_well(mut self) {
        let start = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(start.elapsed() < PATIENCE, "it goes on");
            thread::sleep(Duration::from_millis(5));
        };
        assert!(status.success(), "{status}");
    }

    /// From here on no file of this process may grow past a page of the notebook: there writes are refused, as on a full disk.
    pub fn fill_its_disk(&self) {
        let little = Rlimit { current: Some(4096), maximum: Some(4096) };
        prlimit(Some(Pid::from_child(&self.child)), Resource::Fsize, little).unwrap();
    }

    pub fn signal(&self, signal: Signal) {
        kill_process(Pid::from_child(&self.child), signal).unwrap();
    }
}

impl Drop for Vigil {
    fn drop(&mut self) {
        // A stopped process must go on to end.
        let _ = kill_process(Pid::from_child(&self.child), Signal::CONT);
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// Waits until `is`, and says how long that took; `state` tells what is there if it does not come.
#[track_caller]
pub fn wait_for(what: &str, is: impl Fn() -> bool, state: impl Fn() -> String) -> Duration {
    let start = Instant::now();
    while !is() {
        assert!(start.elapsed() < PATIENCE, "'{what}' did not come: {}", state());
        thread::sleep(Duration::from_millis(5));
    }
    start.elapsed()
}

/// Only what a test names sounds.
pub const SILENT: &str = "[channel.desktop]\non = false\n[channel.sound]\non = false\n[channel.bell]\non = false\n\
                          [channel.terminal]\non = false\n";

impl Home {
    /// Settings with nothing but `more` switched on.
    pub fn settle(&self, more: &str) {
        std::fs::create_dir_all(self.path("config")).unwrap();
        std::fs::write(self.path("config/config.toml"), format!("{SILENT}{more}")).unwrap();
    }

    /// A command channel that writes each ring into the file 'rung'.
    pub fn ring_into_file(&self) -> String {
        let script = format!("printf '%s\\n' \"$NIGHTPOUR_HEADLINE\" >> '{}'", self.path("rung"));
        format!("[channel.command]\nrun = [\"sh\", \"-c\", '''{script}''']\n")
    }

    /// What the command channel has written.
    pub fn rung(&self) -> Vec<String> {
        std::fs::read_to_string(self.path("rung")).unwrap_or_default().lines().map(str::to_owned).collect()
    }

    #[track_caller]
    pub fn see_rung(&self, times: usize) -> Duration {
        wait_for("a ring", || self.rung().len() >= times, || format!("{:?}", self.rung()))
    }

    /// Mixes a batch whose pot life ends `ahead_ms` from now, and says when that is.
    pub fn mix_due_in(&self, ahead_ms: i64) -> Timestamp {
        let time = |value: &serde_json::Value| value.as_str().unwrap().parse::<Timestamp>().unwrap();
        let probe = self.json(&["mix", "five-minute-epoxy", "--json"]);
        let span = time(&probe["stages"][0]["early"]).duration_since(time(&probe["started"]));
        self.run(&["undo"]);
        // Whole seconds, as times are given: the band begins up to a second sooner than is asked for.
        let mixed = Timestamp::now() - span + SignedDuration::from_millis(ahead_ms);
        let facts = self.json(&["mix", "five-minute-epoxy", "--json", "--at", &mixed.to_string()]);
        time(&facts["stages"][0]["early"])
    }

    /// Mixes a batch whose pot life has just passed its early edge, and that rings at once.
    pub fn mix_due(&self) {
        self.mix_due_in(-2000);
    }
}

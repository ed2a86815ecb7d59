//! The machine: will it be awake, has it room, is its clock right?

use super::finding::{Finding, Sign};
use crate::bench::day_clock_words;
use crate::cli::shared::Desk;
use crate::machine::{ENOUGH_BYTES, Power, Synchronised, lid_is_shut, power, room_bytes, synchronised};
use crate::settings::Settings;
use crate::text::PlainText;
use crate::vigil::{Awake, is_watched, try_awake};
use std::sync::mpsc::channel;
use std::time::Duration;

/// A system that has not answered by then does not answer.
const PATIENCE: Duration = Duration::from_secs(5);

pub(super) fn findings(desk: &Desk, settings: &Settings) -> Vec<Finding> {
    vec![watch(desk, settings), awake(settings), power_source(), disk(desk), clock()]
}

fn watch(desk: &Desk, settings: &Settings) -> Finding {
    // The notebook's own name of itself: links are followed where the lock is.
    let path = std::fs::canonicalize(&desk.store).unwrap_or_else(|_| desk.store.clone());
    if !is_watched(&path) {
        let mend = "leave the screen open ('nightpour'), or run 'nightpour vigil'";
        return Finding::new("watch", Sign::Fatal, "no nightpour is running that would sound anything", mend);
    }
    let who = desk.notebook().ok().and_then(|notebook| notebook.watcher().ok().flatten());
    let goes_by = who.as_ref().map(|watcher| watcher.settings.clone());
    let who = who.map(|watcher| (PlainText::new(&watcher.kind), watcher.pid, watcher.since));
    if who.as_ref().is_some_and(|(_, pid, _)| is_stopped(*pid)) {
        let mend = "bring it back with 'fg', or end it and start it again";
        return Finding::new("watch", Sign::Fatal, "the nightpour that keeps watch is stopped (Ctrl-Z)", mend);
    }
    if who.is_some() && goes_by.is_some_and(|goes_by| goes_by != settings.fingerprint) {
        let words = "the nightpour that keeps watch does not go by your settings as they are now";
        return Finding::new("watch", Sign::Fatal, words, "it reads them anew within a minute: check again then");
    }
    let who = who.map(|(kind, pid, since)| {
        let since = day_clock_words(since, desk.now, &desk.zone);
        format!(" ({kind}, process {pid}, since {since})")
    });
    let who = who.unwrap_or_default();
    Finding::new("watch", Sign::Good, &format!("a nightpour keeps watch{who}"), "")
}

/// Whether a process is stopped, as Linux tells it (proc(5): the state stands behind the name in brackets).
fn is_stopped(pid: u32) -> bool {
    let stat = std::fs::read_to_string(format!("/proc/{pid}/stat")).unwrap_or_default();
    stat.rsplit_once(") ").is_some_and(|(_, rest)| rest.starts_with('T'))
}

/// Runs `ask` where it cannot hold us up.
fn in_time<T: Send + 'static>(ask: impl FnOnce() -> T + Send + 'static) -> Option<T> {
    let (sender, answer) = channel();
    std::thread::spawn(move || drop(sender.send(ask())));
    answer.recv_timeout(PATIENCE).ok()
}

fn awake(settings: &Settings) -> Finding {
    let mend = "switch automatic sleep off in the system's settings, and leave the lid open";
    if !settings.stay_awake {
        let words = "your settings let the machine fall asleep (stay_awake = false)";
        return Finding::new("awake", Sign::Bad, words, mend);
    }
    let lid = lid_is_shut();
    match in_time(try_awake) {
        Some(Awake::Held { lid: true }) => {
            Finding::new("awake", Sign::Good, "the machine can be held awake, lid and all", "")
        }
        Some(Awake::Held { lid: false }) if lid == Some(true) => Finding::new(
            "awake",
            Sign::Fatal,
            "the lid is shut, and shutting it may send the machine to sleep",
            "open the lid",
        ),
        Some(Awake::Held { lid: false }) => {
            let words = "the machine can be held awake; keep the lid open";
            Finding::new("awake", if lid.is_some() { Sign::Unsure } else { Sign::Good }, words, "")
        }
        Some(Awake::Refused { why }) => {
            Finding::new("awake", Sign::Bad, &format!("the machine cannot be held awake ({why})"), mend)
        }
        Some(Awake::NotHeld) | None => {
            Finding::new("awake", Sign::Bad, "the system does not answer whether it can be held awake", mend)
        }
    }
}

fn power_source() -> Finding {
    match power() {
        Power::Mains => Finding::new("power", Sign::Good, "on mains", ""),
        Power::Battery(left) => {
            let left = left.map(|percent| format!(", {percent} % left")).unwrap_or_default();
            Finding::new("power", Sign::Bad, &format!("on battery{left}"), "plug it in for the night")
        }
        Power::Unknown => Finding::new("power", Sign::Unsure, "nothing here tells where the power comes from", ""),
    }
}

fn disk(desk: &Desk) -> Finding {
    match room_bytes(&desk.store) {
        Some(room) if room < ENOUGH_BYTES => {
            let words = format!("only {} MiB left where the notebook is", room / (1024 * 1024));
            Finding::new("disk", Sign::Bad, &words, "make room: what you enter tonight may not be kept")
        }
        Some(room) => {
            let gib = room as f64 / f64::powi(1024.0, 3);
            Finding::new("disk", Sign::Good, &format!("{gib:.1} GiB left"), "")
        }
        None => Finding::new("disk", Sign::Unsure, "nobody tells how much room there is", ""),
    }
}

fn clock() -> Finding {
    match in_time(synchronised).unwrap_or(Synchronised::Unknown) {
        Synchronised::Yes => Finding::new("clock", Sign::Good, "synchronised", ""),
        Synchronised::No => {
            let mend = "if it is set tonight no alarm moves, but the times you read off it may be wrong";
            Finding::new("clock", Sign::Bad, "the machine's clock is not synchronised", mend)
        }
        Synchronised::Unknown => {
            Finding::new("clock", Sign::Unsure, "nobody tells whether it is synchronised: look at it", "")
        }
    }
}

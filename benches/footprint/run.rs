//! The cases, one after the other.

use super::Args;
use super::notebook::{self, Counting, LAST_LABEL};
use super::process::{Books, Memory};
use super::screen::Screen;
use super::table::{Table, heading, middle_and_worst_ms, note};
use nightpour::bench::Log;
use nightpour::notebook::{BEFORE_FIRST, Notebook};
use std::error::Error;
use std::path::Path;
use std::process::ExitCode;
use std::time::{Duration, Instant};

// The limits this program has set itself.
const FIRST_FRAME_MS: f64 = 50.0;
const REPLAY_MS: f64 = 500.0;
const CORE_PERCENT: f64 = 0.5;
const WAKEUPS: f64 = 3.0;
const RESIDENT_MIB: f64 = 30.0;

/// Entries of the long replay.
const MANY: usize = 100_000;
/// After this the start is over: the desktop has answered, or been given up.
const SETTLED: Duration = Duration::from_secs(8);

pub fn run(args: &Args) -> Result<ExitCode, Box<dyn Error>> {
    let mut table = Table::default();
    replay(&mut table)?;
    for counting in [Counting::Minutes, Counting::Seconds] {
        let folder = tempfile::tempdir()?;
        let path = notebook::make(folder.path(), args.entries, counting)?;
        if counting == Counting::Minutes {
            starts(&mut table, args, &path)?;
        }
        for desktop in [false, true] {
            idle(&mut table, args, &path, counting, desktop)?;
        }
    }
    if table.missed().is_empty() {
        println!("\nall limits kept");
        return Ok(ExitCode::SUCCESS);
    }
    println!("\nlimits missed:");
    for missed in table.missed() {
        println!("  {missed}");
    }
    Ok(ExitCode::FAILURE)
}

/// Opening a notebook, reading it and folding it into what it means.
fn replay(table: &mut Table) -> Result<(), Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let path = notebook::make(folder.path(), MANY, Counting::Minutes)?;
    let mut delays = Vec::new();
    for _ in 0..5 {
        let start = Instant::now();
        let log = Log::replay(Notebook::open(&path)?.read_after(BEFORE_FIRST)?.in_order());
        delays.push(start.elapsed());
        assert_eq!(log.running().count(), 8);
    }
    let (middle, worst) = middle_and_worst_ms(delays);
    heading(&format!("open, read and fold {MANY} entries, 5 times"));
    table.limited("replay, median", middle, REPLAY_MS, "ms");
    note("replay, longest", &format!("{worst:.1} ms"));
    Ok(())
}

fn starts(table: &mut Table, args: &Args, path: &Path) -> Result<(), Box<dyn Error>> {
    for desktop in [false, true] {
        let mut delays = Vec::new();
        for _ in 0..args.times {
            let (screen, delay) = Screen::start(path, desktop)?;
            if !screen.shown().contains(LAST_LABEL) {
                return Err(format!("the first frame lacks '{LAST_LABEL}':\n{}", screen.shown()).into());
            }
            delays.push(delay);
        }
        let (middle, worst) = middle_and_worst_ms(delays);
        let with = if desktop { "with" } else { "without" };
        heading(&format!("{} starts on {} entries, {with} the desktop", args.times, args.entries));
        table.limited("process start to first frame", middle, FIRST_FRAME_MS, "ms");
        note("the longest", &format!("{worst:.1} ms"));
    }
    Ok(())
}

fn idle(table: &mut Table, args: &Args, path: &Path, counting: Counting, desktop: bool) -> Result<(), Box<dyn Error>> {
    let (mut screen, _) = Screen::start(path, desktop)?;
    let pid = screen.pid()?;
    // An even number: help is opened and closed again.
    let keys: Result<Vec<Duration>, _> = (0..args.times.next_multiple_of(2)).map(|_| screen.press("?")).collect();
    let (key_ms, worst_ms) = middle_and_worst_ms(keys?);
    screen.idle(SETTLED)?;
    let before = Books::of(pid)?;
    let bytes = screen.idle(Duration::from_secs(args.seconds))?;
    let used = Books::of(pid)?.since(&before);
    let memory = Memory::of(pid)?;

    let with = if desktop { "with" } else { "without" };
    heading(&format!("eight clocks, {}, {with} the desktop, {} s alone", counting.words(), args.seconds));
    if desktop {
        let top = screen.shown();
        let health = top.lines().next().and_then(|line| line.split_once("desktop:")).map_or("", |(_, words)| words);
        println!("  desktop:{health}");
    }
    note("key to frame, median", &format!("{key_ms:.2} ms"));
    note("key to frame, longest", &format!("{worst_ms:.2} ms"));
    table.limited("share of one core", used.core_percent, CORE_PERCENT, "%");
    note("the same by clock ticks (10 ms)", &format!("{} ticks", used.ticks));
    table.limited("wake-ups a second", used.wakeups, WAKEUPS, "/s");
    note("  let on after another program", &format!("{:.3} /s", used.forced));
    for (thread, rate) in &used.by_thread {
        note(&format!("  of thread '{thread}'"), &format!("{rate:.3} /s"));
    }
    table.limited("resident memory", memory.now_kib as f64 / 1024.0, RESIDENT_MIB, "MiB");
    note("resident memory, highest", &format!("{:.3} MiB", memory.highest_kib as f64 / 1024.0));
    note("bytes to the terminal", &format!("{:.0} /min", bytes as f64 * 60.0 / args.seconds as f64));
    Ok(())
}

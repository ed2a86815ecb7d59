//! Nothing acknowledged as written is ever lost: a writer is killed two hundred times, wherever it happens to be.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

#[path = "support/reexec.rs"]
mod reexec;
#[path = "support/samples.rs"]
mod samples;

use nightpour::bench::{Batch, BatchForecast, BatchId, EntryId, Log, NewEntry, Stored, forecast};
use nightpour::notebook::{BEFORE_FIRST, Notebook};
use samples::{sample, written};
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::ChildStdout;
use std::time::Duration;

const KILLS: usize = 200;
/// What the writer prints before the first number of a group that the notebook has taken.
const TAKEN: &str = "taken ";

/// What the writer writes at once from this number on: one to four entries, so that a torn group would show.
fn group(first: EntryId) -> Vec<Stored> {
    let size = 1 + (first.0 * 7 / 3) % 4;
    let written = written(first.0);
    let stored = |n| {
        let NewEntry { happened, entry } = sample(n);
        Stored { id: EntryId(n), happened, written, entry }
    };
    (first.0..first.0 + size).map(stored).collect()
}

/// Holds both lists against each other; they are to be the same night.
fn same_state(acknowledged: &[Stored], on_file: &[Stored]) {
    assert_eq!(acknowledged.len(), on_file.len());
    for (acknowledged, on_file) in acknowledged.iter().zip(on_file) {
        assert_eq!(acknowledged, on_file);
    }
}

/// Every clock of the night, as it stands at one moment after it.
fn clocks(entries: &[Stored]) -> Vec<(BatchId, BatchForecast)> {
    let log = Log::replay(entries.iter().cloned());
    let now = entries.iter().map(|stored| stored.happened).max().unwrap();
    let at = |batch: &Batch| Some((batch.id, forecast(batch, log.readings(), None, now)?));
    log.batches().filter_map(at).collect()
}

#[test]
fn no_acknowledged_entry_is_lost_to_a_kill() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    let mut chance = Chance(0x6e69_6768_7470_6f75);
    let mut acknowledged: Vec<Stored> = Vec::new();
    for round in 0..KILLS {
        let known = acknowledged.len();
        let taken = write_until_killed(&path, Duration::from_micros(chance.below(40_000)));
        assert!(!taken.is_empty(), "round {round}: the writer ended before it wrote");
        acknowledged.extend(taken.into_iter().flat_map(group));

        let seen = acknowledged[..known].last().map_or(BEFORE_FIRST, |stored| stored.id);
        let on_file = Notebook::open(&path).unwrap().read_after(seen).unwrap();
        assert_eq!(on_file.unreadable, []);
        let on_file = on_file.entries;
        let new = acknowledged.len() - known;
        assert!(on_file.len() >= new, "round {round}: {} of {new} entries are lost", new - on_file.len());
        same_state(&acknowledged[known..], &on_file[..new]);

        // The writer may have died between the disk's word and its own: then that group is there whole.
        if let Some(first) = on_file.get(new) {
            same_state(&group(first.id), &on_file[new..]);
            acknowledged.extend(group(first.id));
        }
    }
    let on_file = Notebook::open(&path).unwrap().read_after(BEFORE_FIRST).unwrap();
    assert_eq!(on_file.unreadable, []);
    same_state(&acknowledged, &on_file.entries);
    let (promised, kept) = (clocks(&acknowledged), clocks(&on_file.entries));
    assert!(!kept.is_empty(), "the samples must hold batches with clocks");
    assert_eq!(promised, kept);
    assert_eq!(integrity(&path), "ok");
}

#[test]
fn a_kill_while_the_notebook_is_being_made_leaves_one_that_opens() {
    let mut chance = Chance(7);
    for _ in 0..40 {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("data/notebook.db");
        let mut writer = reexec::start("writer", &path, &[]);
        std::thread::sleep(Duration::from_micros(chance.below(12_000)));
        writer.kill().unwrap();
        writer.wait().unwrap();

        let mut notebook = Notebook::open(&path).unwrap();
        let group = group(next_id(&path));
        let new: Vec<NewEntry> = group.iter().map(new_entry).collect();
        assert_eq!(notebook.append(&new, group[0].written).unwrap(), group);
        assert_eq!(integrity(&path), "ok");
    }
}

#[test]
#[ignore = "started by the tests above as a program of its own, and killed"]
fn writer() {
    let Some(path) = reexec::notebook_from_parent() else { return };
    let mut notebook = Notebook::open(&path).unwrap();
    let mut out = std::io::stdout();
    loop {
        let first = next_id(&path);
        let group = group(first);
        let new: Vec<NewEntry> = group.iter().map(new_entry).collect();
        assert_eq!(notebook.append(&new, group[0].written).unwrap(), group);
        writeln!(out, "\n{TAKEN}{}", first.0).unwrap();
        out.flush().unwrap();
    }
}

/// The number the next entry will get.
fn next_id(path: &Path) -> EntryId {
    let conn = rusqlite::Connection::open(path).unwrap();
    EntryId(conn.query_row("SELECT coalesce(max(seq), 0) + 1 FROM entry", [], |row| row.get(0)).unwrap())
}

/// Starts a writer, waits for its first word, kills it `later`, and tells the first numbers of the groups it
/// said were taken.
fn write_until_killed(path: &Path, later: Duration) -> Vec<EntryId> {
    let mut writer = reexec::start("writer", path, &[]);
    let mut said = BufReader::new(writer.stdout.take().unwrap());
    let first = next_taken(&mut said);
    std::thread::sleep(later);
    writer.kill().unwrap();
    writer.wait().unwrap();
    first.into_iter().chain(std::iter::from_fn(|| next_taken(&mut said))).collect()
}

/// The next number the writer acknowledged; `None` once it is silent for good.
fn next_taken(said: &mut BufReader<ChildStdout>) -> Option<EntryId> {
    loop {
        let mut line = String::new();
        said.read_line(&mut line).unwrap();
        // A line without its end was cut off by the kill: the number may be, too.
        if !line.ends_with('\n') {
            return None;
        }
        if let Some(number) = line.trim().strip_prefix(TAKEN) {
            return Some(EntryId(number.parse().unwrap()));
        }
    }
}

fn new_entry(stored: &Stored) -> NewEntry {
    NewEntry { happened: stored.happened, entry: stored.entry.clone() }
}

fn integrity(path: &Path) -> String {
    let conn = rusqlite::Connection::open(path).unwrap();
    conn.query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap()
}

/// `SplitMix64` (Steele, Lea & Flood 2014; constants from memory): the same kills in every run.
struct Chance(u64);

impl Chance {
    fn below(&mut self, end: u64) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        (mixed ^ (mixed >> 31)) % end
    }
}

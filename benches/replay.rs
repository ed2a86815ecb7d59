//! How long the screen waits for the notebook at its start.
#![expect(clippy::expect_used, reason = "a bench that cannot set itself up has nothing to measure")]

#[path = "../tests/support/samples.rs"]
mod samples;

use divan::Bencher;
use divan::counter::ItemsCount;
use nightpour::bench::{Log, NewEntry};
use nightpour::notebook::{BEFORE_FIRST, Notebook, Replay};
use samples::{sample, written};

fn main() {
    divan::main();
}

/// A notebook of `n` mixed entries in a folder of its own.
fn notebook(n: i64) -> (tempfile::TempDir, Notebook) {
    let home = tempfile::tempdir().expect("a folder for the bench");
    let mut notebook = Notebook::open(&home.path().join("notebook.db")).expect("a new notebook");
    let entries: Vec<NewEntry> = (1..=n).map(sample).collect();
    notebook.append(&entries, written(n)).expect("the notebook takes the entries");
    (home, notebook)
}

/// Reading everything in an open notebook.
#[divan::bench(args = [10_000, 100_000], sample_count = 30)]
fn read_all(bencher: Bencher<'_, '_>, n: i64) {
    let (_home, notebook) = notebook(n);
    bencher.counter(ItemsCount::new(n.unsigned_abs())).bench_local(|| read(&notebook, n));
}

/// Opening the file and reading everything: what a start really costs.
#[divan::bench(args = [10_000, 100_000], sample_count = 30)]
fn open_and_read_all(bencher: Bencher<'_, '_>, n: i64) {
    let (_home, notebook) = notebook(n);
    let path = notebook.path().to_owned();
    drop(notebook);
    bencher
        .counter(ItemsCount::new(n.unsigned_abs()))
        .bench_local(|| read(&Notebook::open(&path).expect("it was just written"), n));
}

/// Reading everything and folding it into what it means: until then the screen has nothing to show.
#[divan::bench(args = [10_000, 100_000], sample_count = 30)]
fn read_and_fold(bencher: Bencher<'_, '_>, n: i64) {
    let (_home, notebook) = notebook(n);
    bencher.counter(ItemsCount::new(n.unsigned_abs())).bench_local(|| Log::replay(read(&notebook, n).in_order()));
}

/// Writing one entry, safe on the disk.
#[divan::bench(sample_count = 200)]
fn append_one(bencher: Bencher<'_, '_>) {
    let (_home, mut notebook) = notebook(1);
    bencher.bench_local(|| notebook.append(&[sample(2)], written(2)).expect("the notebook takes the entry"));
}

fn read(notebook: &Notebook, n: i64) -> Replay {
    let replay = notebook.read_after(BEFORE_FIRST).expect("it was just written");
    assert_eq!(i64::try_from(replay.entries.len()), Ok(n));
    replay
}

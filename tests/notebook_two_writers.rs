//! The open screen and the command line write at the same time, each a program of its own.

#[path = "support/reexec.rs"]
mod reexec;
#[path = "support/samples.rs"]
mod samples;

use nightpour::bench::{EntryId, NewEntry};
use nightpour::notebook::{BEFORE_FIRST, Notebook, Watch, WatchKind};
use samples::{sample, written};
use std::collections::BTreeSet;
use std::sync::mpsc;
use std::time::Duration;

const EACH: i64 = 300;
/// The second writer's first sample.
const SECOND: i64 = 1001;
const FIRST_SAMPLE: &str = "NIGHTPOUR_TEST_FIRST_SAMPLE";

#[test]
fn two_programs_write_at_once_and_nothing_is_lost() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    let writers =
        [1, SECOND].map(|first| reexec::start("writer", &path, &[(FIRST_SAMPLE, first.to_string().as_ref())]));
    for writer in writers {
        let ended = writer.wait_with_output().unwrap();
        assert!(ended.status.success(), "{}", String::from_utf8_lossy(&ended.stdout));
    }
    let entries = Notebook::open(&path).unwrap().read_after(BEFORE_FIRST).unwrap().entries;

    assert!(entries.windows(2).all(|pair| pair[0].id < pair[1].id));
    assert_eq!(entries.len(), usize::try_from(2 * EACH).unwrap());
    for first in [1, SECOND] {
        let theirs = entries.iter().filter(|stored| (stored.happened >= sample(SECOND).happened) == (first == SECOND));
        for (stored, n) in theirs.zip(first..) {
            let found = NewEntry { happened: stored.happened, entry: stored.entry.clone() };
            assert_eq!((found, stored.written), (sample(n), written(n)));
        }
    }
}

#[test]
#[ignore = "started by the test above as a program of its own"]
fn writer() {
    let Some(path) = reexec::notebook_from_parent() else { return };
    let first: i64 = std::env::var(FIRST_SAMPLE).unwrap().parse().unwrap();
    let mut notebook = Notebook::open(&path).unwrap();
    for n in first..first + EACH {
        notebook.append(&[sample(n)], written(n)).unwrap();
    }
}

#[test]
fn of_two_who_check_and_write_at_once_neither_acts_on_an_old_state() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    Notebook::open(&path).unwrap();
    // Each writes the sample whose number follows from what is there; with an old state, a number would come twice.
    std::thread::scope(|scope| {
        for _ in 0..2 {
            scope.spawn(|| {
                let mut notebook = Notebook::open(&path).unwrap();
                let mut known = 0;
                for _ in 0..100 {
                    let outcome = notebook.transact(EntryId(known), written(known + 1), |news| {
                        known += i64::try_from(news.entries.len()).unwrap();
                        Ok::<_, String>(vec![sample(known + 1)])
                    });
                    known += i64::try_from(outcome.unwrap().written.len()).unwrap();
                }
            });
        }
    });
    let entries = Notebook::open(&path).unwrap().read_after(BEFORE_FIRST).unwrap().entries;
    let numbers: BTreeSet<_> = entries.iter().map(|stored| stored.happened).collect();
    assert_eq!((entries.len(), numbers.len()), (200, 200));
    assert_eq!(entries[199].happened, sample(200).happened);
}

#[test]
fn a_watch_rings_within_a_second_of_every_write_by_others_and_never_without() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    let screen = Notebook::open(&path).unwrap();
    let mut command = Notebook::open(&path).unwrap();
    let (ring, rung) = mpsc::channel();
    let watch = Watch::start(&screen, move || ring.send(()).unwrap());
    assert_eq!(watch.kind(), &WatchKind::Woken);

    let mut seen = BEFORE_FIRST;
    for n in 1..=50 {
        let stored = command.append(&[sample(n)], written(n)).unwrap();
        rung.recv_timeout(Duration::from_secs(1)).unwrap();
        assert_eq!(screen.read_after(seen).unwrap().entries, stored, "the ring must not come before the entry");
        seen = stored[0].id;
    }
    screen.read_after(BEFORE_FIRST).unwrap();
    std::fs::write(home.path().join("pond.toml"), "depth_mm = 30").unwrap();
    assert!(rung.recv_timeout(Duration::from_millis(300)).is_err(), "reading and other files are no news");

    drop(watch);
    assert!(rung.recv_timeout(Duration::from_secs(1)).is_err());
    command.append(&[sample(51)], written(51)).unwrap();
    assert!(rung.recv_timeout(Duration::from_millis(300)).is_err(), "a dropped watch is silent");
}

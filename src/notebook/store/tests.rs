use super::*;
use crate::bench::{BatchId, Entry};
use crate::text::PlainText;
use crate::units::Celsius;
use std::sync::Barrier;

fn at(us: i64) -> Timestamp {
    Timestamp::from_microsecond(us).unwrap()
}

fn reading(tenths: i32) -> NewEntry {
    let celsius = Celsius::new(f64::from(tenths) / 10.0).unwrap();
    let entry = Entry::Reading { celsius, humidity: None, source: PlainText::new("shelf by the pond") };
    NewEntry { happened: at(1_772_000_000_000_000 + i64::from(tenths)), entry }
}

/// The numbers of all entries.
fn ids(notebook: &Notebook) -> Vec<i64> {
    notebook.read_after(BEFORE_FIRST).unwrap().entries.iter().map(|stored| stored.id.0).collect()
}

fn fresh() -> (tempfile::TempDir, Notebook) {
    let home = tempfile::tempdir().unwrap();
    let notebook = Notebook::open(&home.path().join("data/notebook.db")).unwrap();
    (home, notebook)
}

#[test]
fn what_is_appended_is_read_back_in_order() {
    let (_home, mut notebook) = fresh();
    assert_eq!(notebook.read_after(BEFORE_FIRST).unwrap(), Replay::default());

    let first = notebook.append(&[reading(201), reading(199)], at(5)).unwrap();
    let second = notebook.append(&[reading(195)], at(6)).unwrap();
    assert_eq!(first.iter().chain(&second).map(|s| s.id.0).collect::<Vec<_>>(), [1, 2, 3]);
    assert_eq!(notebook.append(&[], at(7)).unwrap(), []);

    let all = notebook.read_after(BEFORE_FIRST).unwrap();
    assert_eq!(all.entries, [first.clone(), second.clone()].concat());
    assert_eq!(notebook.read_after(EntryId(2)).unwrap().entries, second);
    assert_eq!(all.last_id(), Some(EntryId(3)));
}

#[test]
fn less_than_a_microsecond_is_dropped_before_the_entry_is_handed_back() {
    let (_home, mut notebook) = fresh();
    let fine = Timestamp::from_nanosecond(1_772_000_000_123_456_789).unwrap();
    let stored = notebook.append(&[NewEntry { happened: fine, ..reading(200) }], fine).unwrap();
    assert_eq!(stored[0].happened, at(1_772_000_000_123_456));
    assert_eq!(stored[0].written, stored[0].happened);
    assert_eq!(notebook.read_after(BEFORE_FIRST).unwrap().entries, stored);
}

#[test]
fn an_entry_handed_back_equals_the_one_read_later_whatever_its_digits() {
    let (_home, mut notebook) = fresh();
    let celsius = Celsius::new(20.0 + 0.1 + 0.2 - 1e-15 * 7.0).unwrap();
    let entry = Entry::Reading { celsius, humidity: None, source: PlainText::new("two thirds of a sum") };
    let stored = notebook.append(&[NewEntry { happened: at(1), entry }], at(1)).unwrap();
    assert_eq!(notebook.read_after(BEFORE_FIRST).unwrap().entries, stored);
}

#[test]
fn a_full_disk_is_said_in_words_and_leaves_no_half_written_entries() {
    let (_home, mut notebook) = fresh();
    notebook.append(&[reading(200)], at(1)).unwrap();
    notebook.conn.pragma_update(None, "max_page_count", 1).unwrap();
    let long = Entry::Profile {
        fingerprint: crate::material::Fingerprint("5eed".into()),
        material: crate::material::MaterialId::new("pond-water").unwrap(),
        toml: "#".repeat(1 << 20),
    };
    let many = [reading(201), NewEntry { happened: at(2), entry: long }];
    let words = notebook.append(&many, at(2)).unwrap_err().to_string();
    assert!(words.contains("is full, and nothing of this was written; free some space"), "{words}");
    assert_eq!(ids(&notebook), [1]);

    notebook.conn.pragma_update(None, "max_page_count", 1_000_000).unwrap();
    assert_eq!(notebook.append(&many, at(3)).unwrap()[0].id, EntryId(2), "usable again, and no number skipped");
}

#[test]
fn a_check_then_write_sees_the_newest_entries_and_may_decline() {
    let (_home, mut screen) = fresh();
    let mut command = Notebook::open(screen.path()).unwrap();
    let seen = screen.append(&[reading(200)], at(1)).unwrap()[0].id;
    let theirs = command.append(&[reading(190)], at(2)).unwrap();

    let refused = screen.transact(seen, at(3), |news| {
        assert_eq!(news.entries, theirs);
        Err::<Vec<NewEntry>, _>("batch '7' does not exist")
    });
    assert_eq!(refused.unwrap_err().to_string(), "batch '7' does not exist");
    assert_eq!(ids(&screen), [1, 2]);

    let done = NewEntry { happened: at(4), entry: Entry::Done { batch: BatchId(1) } };
    let outcome = screen.transact(seen, at(4), |_| Ok::<_, &str>(vec![done])).unwrap();
    assert_eq!(outcome.news.entries, theirs);
    assert_eq!(command.read_after(EntryId(2)).unwrap().entries, outcome.written);
}

#[test]
fn what_cannot_be_read_is_named_and_the_rest_is_read() {
    let (_home, mut notebook) = fresh();
    notebook.append(&[reading(200)], at(1)).unwrap();
    let bad = "INSERT INTO entry (happened_us, written_us, kind, body) VALUES (?1, 1, ?2, ?3)";
    for (us, kind, body) in [
        (1, "vacuumed", r#"{"kind":"vacuumed","batch":1}"#),
        (1, "do\x1b[2Jne", r#"{"kind":"done","#),
        (i64::MAX, "done", r#"{"kind":"done","batch":1}"#),
    ] {
        notebook.conn.execute(bad, (us, kind, body)).unwrap();
    }
    notebook.conn.execute(bad, (1, "done", b"\xff".as_slice())).unwrap_err();
    notebook.conn.execute(&bad.replace("?3", "CAST(x'7bff7d' AS TEXT)"), (1, "done")).unwrap();
    notebook.append(&[reading(190)], at(2)).unwrap();

    let replay = notebook.read_after(BEFORE_FIRST).unwrap();
    assert_eq!(replay.entries.iter().map(|s| s.id.0).collect::<Vec<_>>(), [1, 6]);
    let words: Vec<String> = replay.unreadable.iter().map(ToString::to_string).collect();
    assert!(words[0].starts_with("entry 2 of kind 'vacuumed' cannot be read and is left out (unknown variant"));
    assert!(words[1].starts_with("entry 3 of kind 'do[2Jne' cannot be read"), "{}", words[1]);
    assert!(words[2].contains("'9223372036854775807' µs is no time"), "{}", words[2]);
    assert!(words[3].contains("its text is not UTF-8"), "{}", words[3]);
    assert_eq!(replay.last_id(), Some(EntryId(6)));
    assert_eq!(notebook.read_after(EntryId(3)).unwrap().unreadable.len(), 2);
}

#[test]
fn only_writes_by_others_count_as_a_change() {
    let (_home, mut notebook) = fresh();
    let mut other = Notebook::open(notebook.path()).unwrap();
    notebook.append(&[reading(200)], at(1)).unwrap();
    assert!(!notebook.changed_since().unwrap());
    assert!(other.changed_since().unwrap());
    assert!(!other.changed_since().unwrap());
}

#[test]
fn a_program_that_does_not_let_go_is_named_after_the_wait() {
    let (_home, mut notebook) = fresh();
    let other = Notebook::open(notebook.path()).unwrap();
    other.conn.execute_batch("BEGIN IMMEDIATE").unwrap();
    notebook.conn.busy_timeout(Duration::from_millis(1)).unwrap();
    let error = notebook.append(&[reading(200)], at(1)).unwrap_err();
    assert!(error.to_string().starts_with("another program kept the notebook '"), "{error}");
    assert!(error.to_string().contains("close the other program if it hangs"), "{error}");
}

#[test]
fn many_may_make_the_same_notebook_at_once() {
    for _ in 0..5 {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("notebook.db");
        let start = Barrier::new(8);
        std::thread::scope(|scope| {
            for n in 0..8 {
                let (path, start) = (&path, &start);
                scope.spawn(move || {
                    start.wait();
                    Notebook::open(path).unwrap().append(&[reading(n)], at(1)).unwrap();
                });
            }
        });
        assert_eq!(ids(&Notebook::open(&path).unwrap()), [1, 2, 3, 4, 5, 6, 7, 8]);
    }
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_takes_no_files_is_refused_in_words() {
    let words = Notebook::open(Path::new("/proc/self/notebook.db")).unwrap_err().to_string();
    assert!(words.contains("notebook.db' cannot be opened; make sure that you may read and write"), "{words}");
}

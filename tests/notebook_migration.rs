//! Notebooks of older versions are brought up to date; files that are not ours are left alone.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use jiff::Timestamp;
use nightpour::bench::{AlarmId, BatchId, Entry, EntryId, Mix, NewEntry, Seen, Stored, Trust};
use nightpour::material::{Fingerprint, MaterialId, Stage};
use nightpour::notebook::{BEFORE_FIRST, Notebook};
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Millimetres};
use rusqlite::Connection;
use std::fs;
use std::path::{Path, PathBuf};

const V1: &str = include_str!("reference/notebook_v1.sql");

fn database(sql: &str) -> (tempfile::TempDir, PathBuf) {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    Connection::open(&path).unwrap().execute_batch(sql).unwrap();
    (home, path)
}

fn time(text: &str) -> Timestamp {
    text.parse().unwrap()
}

/// What `reference/notebook_v1.sql` says.
fn v1_entries() -> Vec<Stored> {
    let batch = BatchId(1);
    let alarm = AlarmId::of(batch, Stage::TackFree);
    let material = MaterialId::new("pond-water-resin").unwrap();
    let fingerprint = Fingerprint("5eed".to_owned());
    let seen = Seen::Between { after: time("2026-03-02T20:40:00Z"), by: time("2026-03-02T21:00:00Z") };
    let mix = Mix {
        material: material.clone(),
        profile: fingerprint.clone(),
        label: PlainText::new("pond, layer 1"),
        resin: Grams::new(120.4).ok(),
        dose: DosePercent::new(1.25).ok(),
        depth: Millimetres::new(6.5).ok(),
        onto: None,
        part: None,
    };
    let reading = Entry::Reading {
        celsius: Celsius::new(19.4).unwrap(),
        humidity: None,
        source: PlainText::new("shelf by the window"),
    };
    let observed = Entry::Observed {
        batch,
        stage: Stage::Gel,
        seen,
        test: Some(PlainText::new("wooden stick")),
        trust: Trust::Sure,
        within: None,
    };
    let entries = [
        (
            "02T20:00:00",
            "02T20:00:00.000001",
            Entry::Profile { fingerprint, material, toml: "name = \"Pond water\"\n".into() },
        ),
        ("02T20:00:00", "02T20:00:00.000001", Entry::Mixed(mix)),
        ("02T20:01:00", "02T20:01:01", reading),
        ("02T21:00:00", "02T21:00:01", observed),
        ("02T21:01:00", "02T21:01:00.000001", Entry::Snoozed { alarm, until: time("2026-03-02T21:11:00Z") }),
        ("02T21:11:00", "02T21:11:00.000001", Entry::Acknowledged { alarm }),
        ("02T21:12:00", "02T21:12:00.000001", Entry::Undone { entry: EntryId(6) }),
        ("03T08:00:00", "03T08:00:00.000001", Entry::Done { batch }),
    ];
    (1..)
        .zip(entries)
        .map(|(seq, (happened, written, entry))| Stored {
            id: EntryId(seq),
            happened: time(&format!("2026-03-{happened}Z")),
            written: time(&format!("2026-03-{written}Z")),
            entry,
        })
        .collect()
}

#[test]
fn a_version_1_notebook_is_brought_to_date_with_its_entries_as_they_were() {
    let (_home, path) = database(V1);
    let mut notebook = Notebook::open(&path).unwrap();
    let replay = notebook.read_after(BEFORE_FIRST).unwrap();
    assert_eq!(replay.unreadable, []);
    assert_eq!(replay.entries, v1_entries());

    let raw = Connection::open(&path).unwrap();
    let version: i64 = raw.query_row("PRAGMA user_version", [], |row| row.get(0)).unwrap();
    assert_eq!(version, 3);
    for change in [
        "UPDATE entry SET happened_us = 0 WHERE seq = 3",
        "DELETE FROM entry WHERE seq = 3",
        "REPLACE INTO entry SELECT seq, 0, 0, kind, body FROM entry WHERE seq = 3",
    ] {
        let words = raw.execute(change, []).unwrap_err().to_string();
        assert!(words.contains("undo it by a further entry"), "{change}: {words}");
    }
    assert_eq!(notebook.read_after(BEFORE_FIRST).unwrap(), replay);

    let happened = time("2026-03-03T09:00:00Z");
    let entry = Entry::Undone { entry: EntryId(8) };
    let added = notebook.append(&[NewEntry { happened, entry }], happened);
    assert_eq!(added.unwrap()[0].id, EntryId(9));
}

#[test]
fn entries_are_still_written_as_version_1_wrote_them() {
    // So that an older program that knows the same kinds can read what this one writes.
    let (_home, path) = database(V1);
    let mut notebook = Notebook::open(&path).unwrap();
    let again: Vec<_> =
        v1_entries().into_iter().map(|Stored { happened, entry, .. }| NewEntry { happened, entry }).collect();
    notebook.append(&again, time("2026-03-03T09:00:00Z")).unwrap();
    let raw = Connection::open(&path).unwrap();
    let differing: i64 = raw
        .query_row(
            "SELECT count(*) FROM entry a JOIN entry b ON b.seq = a.seq + 8
             WHERE (a.happened_us, a.kind, a.body) <> (b.happened_us, b.kind, b.body)",
            [],
            |row| row.get(0),
        )
        .unwrap();
    assert_eq!(differing, 0);
}

/// Every file in the folder with its bytes.
fn folder(home: &Path) -> Vec<(PathBuf, Vec<u8>)> {
    let mut files: Vec<_> = fs::read_dir(home)
        .unwrap()
        .map(|file| file.unwrap().path())
        .map(|p| (p.clone(), fs::read(p).unwrap()))
        .collect();
    files.sort();
    files
}

#[test]
fn files_that_are_not_ours_or_too_new_are_refused_and_left_as_they_were() {
    let newer = format!("{V1} PRAGMA user_version = 99;");
    let newer_wal = format!("PRAGMA journal_mode = WAL; {newer}");
    let foreign_wal = "PRAGMA journal_mode = WAL; CREATE TABLE koi (name TEXT); INSERT INTO koi VALUES ('Momo')";
    let foreign_mark = "PRAGMA application_id = 7";
    let below_zero = format!("{V1} PRAGMA user_version = -1;");
    let newer_words = "was written by a newer version of this program (notebook version '99', this one knows up to 3)";
    for (sql, words) in [
        (newer.as_str(), newer_words),
        (&newer_wal, newer_words),
        (&below_zero, "(notebook version '-1'"),
        ("CREATE TABLE entry (seq INTEGER PRIMARY KEY)", "is a database of another program"),
        (foreign_wal, "is a database of another program"),
        (foreign_mark, "is a database of another program"),
    ] {
        let (home, path) = database(sql);
        let before = folder(home.path());
        let refused = Notebook::open(&path).unwrap_err().to_string();
        assert!(refused.contains(words) && refused.contains("was left as it is"), "{sql}: {refused}");
        assert!(refused.contains("notebook.db'") && refused.contains("--store"), "{refused}");
        assert!(folder(home.path()) == before, "{sql}: something was changed");
    }
}

#[test]
fn the_log_a_killed_newer_program_left_is_not_folded_into_its_file() {
    let (home, path) = database(&format!("PRAGMA journal_mode = WAL; {V1}"));
    let writer = Connection::open(&path).unwrap();
    writer.execute_batch("PRAGMA user_version = 99").unwrap();
    // A copy of the files as they lie there while the writer still has them open is what a kill leaves.
    let killed = tempfile::tempdir().unwrap();
    for (file, bytes) in folder(home.path()) {
        if !file.to_string_lossy().ends_with("-shm") {
            fs::write(killed.path().join(file.file_name().unwrap()), bytes).unwrap();
        }
    }
    let copy = killed.path().join("notebook.db");
    let log = killed.path().join("notebook.db-wal");
    let before = (fs::read(&copy).unwrap(), fs::read(&log).unwrap());
    let words = Notebook::open(&copy).unwrap_err().to_string();
    assert!(words.contains("written by a newer version of this program (notebook version '99'"), "{words}");
    assert!((fs::read(&copy).unwrap(), fs::read(&log).unwrap()) == before);
}

#[test]
fn a_text_file_is_refused_and_left_as_it_was() {
    let home = tempfile::tempdir().unwrap();
    for text in ["koi\n".to_owned(), "seedheads, shells, gravel\n".repeat(500)] {
        let path = home.path().join("pond.txt");
        fs::write(&path, &text).unwrap();
        let words = Notebook::open(&path).unwrap_err().to_string();
        assert!(words.contains("pond.txt' is not a notebook but some other file, and was left as it is"), "{words}");
        assert_eq!(fs::read_to_string(&path).unwrap(), text);
    }
}

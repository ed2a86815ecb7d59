//! Any entry survives being written and read.

#[path = "support/strategy.rs"]
mod strategy;

use nightpour::bench::Stored;
use nightpour::notebook::{BEFORE_FIRST, Notebook};
use proptest::collection::vec;
use proptest::prelude::*;
use std::cell::RefCell;
use strategy::{any_new_entry, any_time};

#[test]
fn any_entry_survives_a_write_and_a_read() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("notebook.db");
    let (notebook, all) = (RefCell::new(Notebook::open(&path).unwrap()), RefCell::new(Vec::new()));
    proptest!(ProptestConfig::with_cases(200), |(entries in vec(any_new_entry(), 1..8), written in any_time())| {
        let mut notebook = notebook.borrow_mut();
        let before = all.borrow().last().map_or(BEFORE_FIRST, |stored: &Stored| stored.id);
        let stored = notebook.append(&entries, written).unwrap();
        prop_assert_eq!(stored.len(), entries.len());
        for (stored, new) in stored.iter().zip(&entries) {
            prop_assert_eq!(&stored.entry, &new.entry);
            prop_assert_eq!(stored.happened.as_microsecond(), new.happened.as_microsecond());
            prop_assert_eq!(stored.written.as_microsecond(), written.as_microsecond());
        }
        prop_assert_eq!(&notebook.read_after(before).unwrap().entries, &stored);
        all.borrow_mut().extend(stored);
    });
    drop(notebook);
    let replay = Notebook::open(&path).unwrap().read_after(BEFORE_FIRST).unwrap();
    assert_eq!(replay.unreadable, []);
    assert_eq!(replay.entries, all.into_inner());
}

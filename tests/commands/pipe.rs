//! Output into a pipe whose reader has gone.

use crate::home::Home;
use crate::pieces::COLUMN;
use nightpour::bench::{Entry, NewEntry};
use nightpour::clock::{Clock, SystemClock};
use nightpour::notebook::Notebook;
use nightpour::text::PlainText;
use nightpour::units::Celsius;
use std::process::Output;

const LOG: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/reference/cool-night.csv");

/// Runs a command whose output nobody reads any more.
fn unheard(home: &Home, arguments: &[&str]) -> Output {
    let (reader, writer) = std::io::pipe().unwrap();
    drop(reader);
    home.command(arguments).stdout(writer).output().unwrap()
}

#[test]
fn a_reader_that_has_gone_is_no_failure_of_any_command() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--resin-g", "80"]);
    // More than any buffer on the way holds.
    let (now, source) = (SystemClock.now(), PlainText::new(&"shelf ".repeat(60)));
    let entry = Entry::Reading { celsius: Celsius::new(20.0).unwrap(), humidity: None, source };
    let readings = vec![NewEntry { happened: now, entry }; 50];
    Notebook::open(&home.store()).unwrap().append(&readings, now).unwrap();
    let commands: [&[&str]; 19] = [
        &["clocks"],
        &["clocks", "--json"],
        &["notebook"],
        &["notebook", "--json"],
        &["notebook", "--csv"],
        &["profiles"],
        &["profiles", "list", "--json"],
        &["profiles", "show", "uv-resin"],
        &["profiles", "show", "uv-resin", "--json"],
        &["profiles", "check"],
        &["profiles", "copy", "uv-resin"],
        &["age", LOG, "--q10", "2", "--reference-c", "25"],
        &["age", LOG, "--q10", "2", "--reference-c", "25", "--json"],
        &["rehearse", "--headless"],
        &["plan", COLUMN],
        &["plan", COLUMN, "--json"],
        &["temp", "21"],
        &["mix", "clear-polyester", "--resin-g", "40"],
        &["done", "1"],
    ];
    for arguments in commands {
        let output = unheard(&home, arguments);
        let words = String::from_utf8_lossy(&output.stderr);
        assert!(output.status.success() && words.is_empty(), "{arguments:?}: {words}");
    }
}

#[test]
fn a_failure_of_another_kind_is_still_told() {
    let home = Home::new();
    let output = unheard(&home, &["age", "no-such-file.csv", "--q10", "2", "--reference-c", "25"]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("'no-such-file.csv' cannot be read"));
}

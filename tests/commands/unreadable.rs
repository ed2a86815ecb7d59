//! A notebook with an entry in it that this version cannot read.

use crate::home::Home;
use nightpour::bench::{Bench, Effect};
use nightpour::clock::{Clock, SystemClock};
use nightpour::material::Catalogue;
use nightpour::notebook::Notebook;
use nightpour::session::Session;
use rusqlite::Connection;

/// Writes a mix as only a newer version could read it.
fn write_unreadable_mix(home: &Home) {
    let row = r#"INSERT INTO entry (happened_us, written_us, kind, body)
        VALUES (1772000000000000, 1772000000000000, 'mixed', '{"kind":"mixed","cups":3}')"#;
    Connection::open(home.store()).unwrap().execute(row, ()).unwrap();
}

#[test]
fn a_mix_that_cannot_be_read_keeps_its_number_from_later_batches() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "shells"]);
    write_unreadable_mix(&home);
    let mixed = home.say(&["mix", "clear-polyester", "--label", "pond"]);
    assert!(mixed.out.starts_with(" 3 clear-polyester  pond"), "{}", mixed.out);
    home.run(&["seen", "gel", "--batch", "pond", "--not-yet"]);
    home.run(&["done", "3"]);
    assert_eq!(
        home.say(&["done", "2"]).err.lines().last().unwrap().split(';').next(),
        Some("nightpour: there is no batch 2")
    );

    let clocks = home.say(&["clocks"]);
    assert!(clocks.out.starts_with(" 1 clear-polyester  shells") && !clocks.out.contains("pond"), "{}", clocks.out);
    assert!(clocks.err.starts_with("nightpour: entry 3 of kind 'mixed' cannot be read"), "{}", clocks.err);
    let words: Vec<String> = home.run(&["notebook"]).lines().map(|line| line[25..].to_owned()).collect();
    assert_eq!(words[3..], ["3 pond: gel not yet", "finished with 3 pond"], "{words:?}");
}

#[test]
fn the_screen_counts_as_the_commands_do_and_is_told_of_what_it_cannot_read() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "shells"]);
    let now = SystemClock.now();
    let bench = Bench::new(Catalogue::embedded(), jiff::tz::TimeZone::UTC, now);
    let (mut session, _) = Session::open(bench, Notebook::open(&home.store()).unwrap(), now).unwrap();
    assert_eq!(session.unreadable(), []);

    write_unreadable_mix(&home);
    home.run(&["mix", "clear-polyester", "--label", "pond"]);
    let said: Vec<String> = session
        .catch_up(now)
        .into_iter()
        .filter_map(|effect| match effect {
            Effect::Say { line, refused: true } => Some(line.to_string()),
            _ => None,
        })
        .collect();
    assert_eq!(said.len(), 1);
    assert!(said[0].starts_with("entry 3 of kind 'mixed' cannot be read and is left out"), "{said:?}");
    let numbers: Vec<(u32, &str)> = session.bench().log().running().map(|b| (b.id.0, b.title())).collect();
    assert_eq!(numbers, [(1, "shells"), (3, "pond")]);
    assert!(session.catch_up(now).iter().all(|effect| !matches!(effect, Effect::Say { .. })), "said once");
}

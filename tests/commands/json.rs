//! What `--json` prints of texts that are not to be trusted.

use crate::home::Home;
use nightpour::bench::{Entry, NewEntry};
use nightpour::clock::{Clock, SystemClock};
use nightpour::material::{Fingerprint, MaterialId};
use nightpour::notebook::Notebook;
use nightpour::text::is_hostile;
use serde_json::Value;

#[test]
fn a_profile_in_the_notebook_cannot_give_the_terminal_orders() {
    const TOML: &str = "# \u{9b}2J \u{202e}\u{7f}\u{e0041}\u{1b}[2J\nname = \"Pond\"\n";
    let home = Home::new();
    let now = SystemClock.now();
    let entry = Entry::Profile {
        fingerprint: Fingerprint("5eed".to_owned()),
        material: MaterialId::new("pond-resin").unwrap(),
        toml: TOML.to_owned(),
    };
    Notebook::open(&home.store()).unwrap().append(&[NewEntry { happened: now, entry }], now).unwrap();
    let printed = home.run(&["notebook", "--json"]);
    let hostile: Vec<char> = printed.chars().filter(|&c| c != '\n' && is_hostile(c)).collect();
    assert!(hostile.is_empty(), "{hostile:?}");
    assert_eq!(serde_json::from_str::<Value>(&printed).unwrap()[0]["what"]["toml"], TOML);
}

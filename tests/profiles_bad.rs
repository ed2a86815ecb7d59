//! Bad profile files: each case must be refused at its place, with its value and with fitting words.
//!
//! The cases are in `tests/bad-profiles/`, all invented. Their lines and columns were counted by a separate script,
//! not taken from the program.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

#[path = "support/bad_files.rs"]
mod bad_files;

use bad_files::{Bases, check_cases, check_sanity, lines_of, mutated, shuffled};
use nightpour::cli::problems::Place;
use nightpour::material::{MaterialId, read_profile};
use nightpour::strict::Problem;
use proptest::prelude::*;

const CATALYST: &str = include_str!("bad-profiles/base-catalyst.toml");
const BASES: Bases = &[
    ("catalyst", CATALYST),
    ("two-part", include_str!("bad-profiles/base-two-part.toml")),
    ("light", include_str!("bad-profiles/base-light.toml")),
];

const CASES: [&str; 11] = [
    include_str!("bad-profiles/learned.toml"),
    include_str!("bad-profiles/figures.toml"),
    include_str!("bad-profiles/durations.toml"),
    include_str!("bad-profiles/texts-and-words.toml"),
    include_str!("bad-profiles/keys.toml"),
    include_str!("bad-profiles/mixing.toml"),
    include_str!("bad-profiles/dose-rule.toml"),
    include_str!("bad-profiles/equivalents.toml"),
    include_str!("bad-profiles/cure.toml"),
    include_str!("bad-profiles/stages.toml"),
    include_str!("bad-profiles/heat.toml"),
];

fn id() -> MaterialId {
    MaterialId::new("invented").unwrap()
}

fn refused(source: &str) -> Vec<Problem> {
    read_profile(id(), source).map(|read| panic!("read as {:?}\n{source}", read.value)).unwrap_err()
}

#[test]
fn the_good_profiles_are_good() {
    for (_, base) in BASES {
        assert_eq!(read_profile(id(), base).unwrap().warnings, []);
    }
}

#[test]
fn every_bad_profile_is_refused_in_its_place_with_fitting_words() {
    check_cases(&CASES, BASES, 151, refused);
}

#[test]
fn all_problems_are_told_at_once_in_the_order_of_the_file() {
    let source = CATALYST
        .replace("shrinkage_percent = 7", "shrinkage_percent = \"7 %\"")
        .replace("dose_min_percent = 0.5", "dose_mim_percent = 0.5")
        .replace("ceiling_c = 32", "ceiling_c = inf")
        .replace("after = \"30m\"", "after = 30")
        .replace("layer_min_mm = 3", "layer_min_mm = \"thin\"");
    assert_eq!(lines_of(&source, &refused(&source)), [5, 10, 22, 31, 49]);
}

#[test]
fn a_broken_cure_does_not_hide_what_is_wrong_with_the_heat_nor_the_reverse() {
    let source = CATALYST
        .replace("floor_c = 13", "floor_c = \"cold\"")
        .replace("cup_c = 25", "cup_c = \"warm\"")
        .replace("peak_after = \"29m\"", "peak_after = \"3m\"")
        .replace("layer_min_mm = 3", "layer_min_mm = \"thin\"");
    assert_eq!(lines_of(&source, &refused(&source)), [21, 49, 57, 60]);
}

#[test]
fn an_unusual_dose_exponent_is_a_warning_only() {
    let source = CATALYST.replace("dose_exponent = 0.9", "dose_exponent = 1.5");
    let read = read_profile(id(), &source).unwrap();
    assert_eq!(read.warnings.len(), 1);
    assert_eq!(Place::of(&source, read.warnings[0].span.start), Place { line: 20, column: 17 });
    assert!(read.warnings[0].what.contains("outside 0.4 to 1.2"));
}

#[test]
fn a_missing_key_under_a_wrong_name_is_told_once() {
    let problems = refused(&CATALYST.replace("summary", "sumary"));
    assert_eq!(problems.len(), 1, "{problems:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_mutation_of_a_good_profile_panics(source in mutated(BASES)) {
        check_sanity(&source, read_profile(id(), &source))?;
    }

    #[test]
    fn no_swap_of_lines_panics(source in shuffled(BASES)) {
        check_sanity(&source, read_profile(id(), &source))?;
    }
}

//! Bad piece files: each case must be refused at its place, with its value and with fitting words.
//!
//! The cases are in `tests/bad-pieces/`, all invented. Their lines and columns were counted by a separate script, not
//! taken from the program. No mesh is read: a stand-in makes one of the file's name and scale.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

#[path = "support/bad_files.rs"]
mod bad_files;

use bad_files::{Bases, check_cases, check_sanity, lines_of, mutated, shuffled};
use nightpour::pour::{MeshAsk, Piece, Solid, Sources, read_piece};
use nightpour::strict::{Mistake, Problem, Read};
use nightpour::units::{Millilitres, Millimetres};
use proptest::prelude::*;

const BEAKER: &str = include_str!("bad-pieces/base-beaker.toml");
const BASES: Bases = &[
    ("beaker", BEAKER),
    ("stack", include_str!("bad-pieces/base-stack.toml")),
    ("walled", include_str!("bad-pieces/base-walled.toml")),
];

const CASES: [&str; 8] = [
    include_str!("bad-pieces/syntax.toml"),
    include_str!("bad-pieces/keys.toml"),
    include_str!("bad-pieces/kinds.toml"),
    include_str!("bad-pieces/vessel.toml"),
    include_str!("bad-pieces/items.toml"),
    include_str!("bad-pieces/layers.toml"),
    include_str!("bad-pieces/heat.toml"),
    include_str!("bad-pieces/tint-and-supplies.toml"),
];

/// A pebble four units tall and half a unit of volume; no other file is there.
fn stand_in(ask: MeshAsk<'_>) -> Result<Solid, Mistake> {
    let lost = || Mistake { what: "there is no such mesh".to_owned(), remedy: "put it there".to_owned() };
    if ask.file != "pebble.stl" {
        return Err(lost());
    }
    let volume = Millilitres::new(0.5 * ask.scale.powi(3)).map_err(|_| lost())?;
    let height = Millimetres::new(4.0 * ask.scale).map_err(|_| lost())?;
    Ok(Solid::Even { volume, height })
}

fn read(source: &str) -> Result<Read<Piece>, Vec<Problem>> {
    read_piece(source, Sources::with_meshes(&stand_in))
}

fn refused(source: &str) -> Vec<Problem> {
    read(source).map(|read| panic!("read as {:?}\n{source}", read.value)).unwrap_err()
}

#[test]
fn the_good_pieces_are_good() {
    for (_, base) in BASES {
        assert_eq!(read(base).unwrap().warnings, []);
    }
}

#[test]
fn every_bad_piece_is_refused_in_its_place_with_fitting_words() {
    check_cases(&CASES, BASES, 180, refused);
}

#[test]
fn all_problems_are_told_at_once_in_the_order_of_the_file() {
    let source = BEAKER
        .replace("fill_mm = 60", "fill_mm = 75")
        .replace("volume_ml = 4.5", "volume_ml = \"some\"")
        .replace("from_mm = 30\nto_mm = 50", "from_mm = 71\nto_mm = 72")
        .replace("\"pebble.stl\"", "\"../pebble.stl\"")
        .replace("max_mm = 20", "max_mm = 3")
        .replace("light_percent = 63", "light_percent = 0")
        .replace("currency = \"EUR\"", "curency = \"EUR\"");
    assert_eq!(lines_of(&source, &refused(&source)), [4, 16, 25, 40, 45, 57, 66]);
}

#[test]
fn what_sticks_out_is_a_warning_only() {
    let source = BEAKER.replace("from_mm = 30\nto_mm = 50", "from_mm = 30\nto_mm = 72.5");
    let warnings = read(&source).unwrap().warnings;
    assert_eq!(lines_of(&source, &warnings), [26]);
    assert_eq!(warnings[0].what, "'seedhead' will stick out of the resin by 12.5 mm");
    assert!(warnings[0].remedy.contains("to cover it, write fill_mm = 72.5 or more"));
}

#[test]
fn an_unlikely_drop_is_a_warning_only() {
    let source = BEAKER.replace("weighed_g = 1.6", "weighed_g = 160");
    let warnings = read(&source).unwrap().warnings;
    assert_eq!(lines_of(&source, &warnings), [63]);
    assert!(warnings[0].what.contains("a drop of this bottle would weigh 3.2000 g"), "{}", warnings[0].what);
}

#[test]
fn a_file_with_too_many_of_something_is_told_where_they_become_too_many() {
    let item = "[[item]]\nname = \"bead\"\nvolume_ml = 0.01\nfrom_mm = 0\nto_mm = 3\n";
    let without = &BEAKER[..BEAKER.find("[[item]]").unwrap()];
    assert_eq!(read(&format!("{without}{}", item.repeat(200))).unwrap().value.items.len(), 200);
    let source = format!("{without}{}", item.repeat(203));
    let problems = refused(&source);
    assert_eq!(lines_of(&source, &problems), [without.lines().count() + 1 + 200 * item.lines().count()]);
    assert!(problems[0].what.contains("one 'item' too many: 200 fit, and there are 203"), "{}", problems[0].what);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_mutation_of_a_good_piece_panics(source in mutated(BASES)) {
        check_sanity(&source, read(&source))?;
    }

    #[test]
    fn no_swap_of_lines_panics(source in shuffled(BASES)) {
        check_sanity(&source, read(&source))?;
    }

    #[test]
    fn no_other_figure_panics(
        figure in prop_oneof![any::<f64>().prop_map(|figure| figure.to_string()), "-?[0-9]{1,3}(\\.[0-9])?"],
        (_, base) in prop::sample::select(BASES),
        which in any::<prop::sample::Index>(),
    ) {
        let lines: Vec<&str> = base.lines().collect();
        let figures: Vec<usize> = (0..lines.len()).filter(|at| lines[*at].contains("_mm = ")).collect();
        let at = figures[which.index(figures.len())];
        let (key, _) = lines[at].split_once(" = ").unwrap();
        let source = base.replacen(lines[at], &format!("{key} = {figure}"), 1);
        check_sanity(&source, read(&source))?;
    }

    #[test]
    fn no_bytes_at_all_panic(bytes in any::<Vec<u8>>()) {
        let source = String::from_utf8_lossy(&bytes);
        check_sanity(&source, read(&source))?;
    }
}

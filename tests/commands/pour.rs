//! `nightpour pour`, and the pieces that `nightpour clocks` lists.

use crate::home::Home;
use crate::pieces::{COLUMN, POND};

#[test]
fn a_dry_run_works_the_catalyst_out_for_what_was_weighed_and_writes_nothing() {
    let home = Home::new();
    home.run(&["start", COLUMN]);
    let entries = home.run(&["notebook"]);
    let planned = home.run(&["pour", "--dry-run"]);
    let half = home.run(&["pour", "--dry-run", "--resin-g", "42.65"]);
    assert_eq!(
        planned,
        "lay in first: 3 × scallop shell, face down\npour layer 1: tinted resin 85.3 g + catalyst 1.31 g\n"
    );
    assert!(half.ends_with("pour layer 1: resin 42.6 g + catalyst 0.84 g\n"), "{half}");
    let wrong = home.say(&["pour", "2", "--dry-run"]);
    assert_eq!((wrong.code, wrong.out.as_str()), (1, ""), "{}", wrong.err);
    assert!(wrong.err.contains("layer 2 is not the next one; layer 1 is"), "{}", wrong.err);
    assert_eq!(home.run(&["notebook"]), entries);
}

#[test]
fn a_pour_tells_the_weights_that_stand_on_the_scale() {
    let home = Home::new();
    home.run(&["start", COLUMN]);
    let poured = home.run(&["pour", "1", "--resin-g", "83.4"]);
    assert!(poured.contains("   weigh resin 83.4 g + catalyst 1.29 g\n"), "{poured}");
}

#[test]
fn the_clocks_name_every_piece_on_the_bench() {
    let home = Home::new();
    home.run(&["start", COLUMN]);
    home.run(&["start", POND]);
    home.run(&["done", "--piece", "1"]);
    let said = home.run(&["clocks"]);
    assert!(said.contains("piece 2 Railway pond; next: pour layer 1: tinted A "), "{said}");
    assert!(!said.contains("piece 1"), "{said}");
}

//! A profile of the user's own that cannot be used.

use crate::home::Home;
use crate::pieces::COLUMN;

const WARNING: &str = "nightpour: your 'clear-polyester.toml' is not used: see 'nightpour profiles check'\n";

fn home() -> Home {
    let home = Home::new();
    home.write_profile("clear-polyester.toml", "floor_c = 55F\n");
    home
}

#[test]
fn a_batch_does_not_start_on_other_figures_than_the_users_own() {
    let home = home();
    for typed in ["clear-polyester", "Clear Polyester"] {
        let refused = home.say(&["mix", typed]);
        assert_eq!((refused.code, refused.out.as_str()), (1, ""));
        let (start, end) = (
            "nightpour: nothing was worked out or started: your file '",
            "/config/profiles/clear-polyester.toml' cannot \
            be used (it has 1 problem). Mend it ('nightpour profiles check' says where), or move it away\n",
        );
        assert!(refused.err.starts_with(start) && refused.err.ends_with(end), "{}", refused.err);
    }
    assert!(!home.store().exists(), "nothing was written");
}

#[test]
fn a_material_of_the_users_alone_is_named_as_bad_and_not_as_unknown() {
    let home = Home::new();
    home.write_profile("pond-resin.toml", "");
    let refused = home.say(&["mix", "pond-resin"]);
    assert!(refused.err.contains("/pond-resin.toml' cannot be used (it has"), "{}", refused.err);
}

#[test]
fn another_material_goes_on_with_one_word_about_it_and_what_needs_no_material_with_none() {
    let home = home();
    for (arguments, err) in [(["mix", "uv-resin"], WARNING), (["temp", "19.5"], ""), (["done", "1"], "")] {
        let said = home.say(&arguments);
        assert_eq!((said.code, said.err.as_str()), (0, err), "{arguments:?}");
    }
    assert_eq!(home.say(&["mix", "uv-rosin"]).err.lines().count(), 2, "the warning, and that it is unknown");
}

#[test]
fn no_piece_is_planned_or_poured_on_other_figures_than_the_users_own() {
    let home = Home::new();
    home.run(&["start", COLUMN]);
    let entries = home.run(&["notebook"]);
    home.write_profile("clear-polyester.toml", "floor_c = 55F\n");
    for arguments in [&["plan", COLUMN][..], &["start", COLUMN], &["pour"], &["pour", "--dry-run"]] {
        let refused = home.say(arguments);
        assert_eq!((refused.code, refused.out.as_str()), (1, ""), "{arguments:?}");
        assert!(refused.err.contains("nothing was worked out or started: your file '"), "{}", refused.err);
    }
    assert_eq!(home.run(&["notebook"]), entries);
}

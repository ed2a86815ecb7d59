//! What is written, yet worth a second look; and what is refused with nothing written.

use crate::home::Home;

#[test]
fn what_is_hard_to_believe_is_written_with_a_remark() {
    let home = Home::new();
    let mixed = home.json(&["mix", "clear-polyester", "--dose-percent", "3", "--depth-mm", "30", "--json"]);
    let remarks = mixed["remarks"].as_array().unwrap();
    assert_eq!(remarks.len(), 2, "{remarks:?}");
    assert_eq!(mixed["batch"], 1);
    let seen = home.run(&["seen", "full-cure"]);
    assert!(seen.contains("! much earlier than expected"), "{seen}");
    home.run(&["temp", "20"]);
    let jump = home.run(&["temp", "31"]);
    assert!(jump.contains("! +11.0 °C against the reading before"), "{jump}");
}

#[test]
fn what_cannot_be_is_refused_in_words_and_leaves_the_notebook_alone() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--at", "20m ago"]);
    let before = home.run(&["notebook"]);
    for (arguments, words) in [
        (vec!["temp", "195"], "195 °C is no temperature of a bench"),
        (vec!["mix", "clear-polyester", "--resin-g", "-5"], "a mass in grams above 0"),
        (vec!["mix", "clear-polyster"], "did you mean 'clear-polyester'?"),
        (vec!["seen", "kicked"], "'kicked' is no stage"),
        (vec!["seen", "gel", "--batch", "7"], "there is no batch 7"),
        (vec!["seen", "gel", "--between", "5m ago", "10m ago"], "must be the earlier one"),
        (vec!["seen", "gel", "--between", "1h ago", "5m ago"], "before batch 1 was mixed"),
        (vec!["seen", "gel", "--at", "2999-01-01 00:00"], "ahead of the clock"),
        (vec!["done", ""], "no batch here"),
        (vec!["undo", "--entry", "abc"], "the number that 'nightpour notebook' shows"),
    ] {
        let said = home.say(&arguments);
        assert_ne!(said.code, 0, "{arguments:?}");
        assert!(said.err.contains(words), "{arguments:?}: {}", said.err);
    }
    assert_eq!(home.run(&["notebook"]), before);
}

#[test]
fn looking_makes_no_notebook() {
    let home = Home::new();
    let said = home.say(&["clocks", "--json"]);
    assert_eq!((said.code, said.out.trim()), (0, "[]"));
    assert!(said.err.contains("there is no notebook at"), "{}", said.err);
    assert!(!home.store().exists());
}

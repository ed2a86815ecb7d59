//! `nightpour clocks`.

use crate::home::Home;
use serde_json::Value;

/// The number and label of every batch listed.
fn listed(clocks: &Value) -> Vec<(u64, &str)> {
    let batches = clocks.as_array().unwrap().iter();
    batches.map(|batch| (batch["batch"].as_u64().unwrap(), batch["label"].as_str().unwrap())).collect()
}

#[test]
fn a_look_back_calls_every_batch_by_the_number_it_has_today() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "shells", "--at", "1h ago"]);
    home.run(&["mix", "clear-polyester", "--label", "pond", "--at", "3h ago"]);
    let today = home.json(&["clocks", "--json"]);
    assert_eq!(listed(&today), [(1, "shells"), (2, "pond")]);
    let then = home.json(&["clocks", "--at", "2h ago", "--json"]);
    assert_eq!(listed(&then), [(2, "pond")], "the shells were not mixed yet, and keep their number all the same");
}

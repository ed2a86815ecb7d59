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

#[test]
fn a_deep_layer_says_what_its_own_heat_does_and_what_the_bench_alone_would() {
    let home = Home::new();
    home.run(&["temp", "22", "--at", "2h ago"]);
    home.run(&["mix", "slow-epoxy", "--depth-mm", "30", "--label", "deep", "--at", "1h ago"]);
    home.run(&["mix", "slow-epoxy", "--label", "unknown", "--at", "1h ago"]);
    home.run(&["temp", "40", "--source", "resin"]);
    let facts = home.json(&["clocks", "--json"]);
    let gel = |batch: usize| {
        let stages = facts[batch]["stages"].as_array().unwrap();
        stages.iter().find(|stage| stage["stage"] == "gel").unwrap().clone()
    };
    let time = |value: &Value| value.as_str().map(|text| text.parse::<jiff::Timestamp>().unwrap());
    let (own, plain) = (time(&gel(0)["likely"]).unwrap(), time(&gel(0)["plain_likely"]).unwrap());
    assert!(own < plain, "{own} {plain}");
    assert_eq!(time(&gel(1)["likely"]).unwrap().duration_since(plain).as_mins(), 0, "the bench alone");
    assert!(gel(1)["plain_likely"].is_null() && facts[1]["predicted_peak_c"].is_null());
    assert!(facts[0]["predicted_peak_c"].as_f64().unwrap() > facts[0]["predicted_resin_c"].as_f64().unwrap());
    assert!(facts[0]["peak_limit_c"].is_number() && facts[0]["too_hot_to_hold_at"].is_null());
    let words = home.run(&["clocks"]);
    assert!(words.contains("(plain ") && words.contains(" °C inside at ") && words.contains("(estimate"), "{words}");
    assert!(words.contains("plain: by the bench alone, without the resin's own heat"), "{words}");
}

#[test]
fn a_full_cup_says_when_it_is_too_hot_to_hold() {
    let home = Home::new();
    home.run(&["temp", "22"]);
    home.run(&["mix", "five-minute-epoxy", "--resin-g", "60"]);
    let facts = home.json(&["clocks", "--json"]);
    assert!(facts[0]["too_hot_to_hold_at"].is_string(), "{facts}");
    let words = home.run(&["clocks"]);
    assert!(words.contains("! left in its cup: too hot to hold at "), "{words}");
}

#[test]
fn a_stage_that_the_cure_stops_short_of_says_what_warmth_it_needs() {
    let home = Home::new();
    home.run(&["temp", "15.04"]);
    home.run(&["mix", "coating-epoxy"]);
    let text = home.run(&["clocks"]);
    let line = "full cure          never at 15.0 °C: the cure stops short of it; from 17 °C on it goes on";
    assert!(text.contains(line), "{text}");
    let json = home.json(&["clocks", "--json"]);
    let stage = |name: &str| json[0]["stages"].as_array().unwrap().iter().find(|s| s["stage"] == name).unwrap().clone();
    let (full, demould) = (stage("full-cure"), stage("demould"));
    assert_eq!(
        (&full["status"], &full["likely"], &full["needs_bench_c"]),
        (&"never".into(), &Value::Null, &17.0.into())
    );
    assert_eq!((&demould["status"], &demould["needs_bench_c"]), (&"ahead".into(), &Value::Null));
}

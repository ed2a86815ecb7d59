//! Alarms: on the screen, in the bell and in the title.

use crate::home::Home;
use jiff::{SignedDuration, Timestamp};
use std::time::{Duration, Instant};

#[test]
fn an_alarm_that_was_missed_says_so_rings_and_is_acknowledged() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "pond", "--at", "20m ago"]);
    let mut screen = home.open();
    screen.see("▲ pond");
    screen.see("missed: due");
    screen.wait_for("a bell and a title", |seen| seen.ear().bells == 1 && seen.title() == "▲ pot life ends: pond");
    screen.keys("a");
    screen.wait_for("silence", |seen| seen.title() == "nightpour");
    screen.see_gone("▲ pond");
    assert_eq!(home.notebook().last().unwrap(), "acknowledged 1 pond: pot life ends");
    screen.keys("a");
    screen.see("! nothing is ringing");
    assert_eq!(screen.seen().ear().bells, 1);

    // Who opens the bench again is not rung for what was acknowledged.
    drop(screen);
    let mut screen = home.open();
    screen.see("1 clock ");
    screen.keys("a");
    screen.see("! nothing is ringing");
    assert_eq!(screen.seen().ear().bells, 0);
}

#[test]
fn an_alarm_rings_on_the_open_screen_when_it_falls_due() {
    let home = Home::new();
    let screen = home.open();
    // How long the pot life's early edge is from the mix on, without a bench reading.
    let probe = home.json(&["mix", "five-minute-epoxy", "--json"]);
    let time = |value: &serde_json::Value| value.as_str().unwrap().parse::<Timestamp>().unwrap();
    let span = time(&probe["stages"][0]["early"]).duration_since(time(&probe["started"]));
    home.run(&["undo"]);
    let start = Instant::now();
    let mixed = Timestamp::now() - span + SignedDuration::from_secs(4);
    let facts = home.json(&["mix", "five-minute-epoxy", "--json", "--at", &mixed.to_string()]);
    screen.see("▸2 five-minute-epoxy");
    // Unless the machine was too busy to show the batch in time.
    if start.elapsed() < Duration::from_secs(3) {
        assert_eq!(screen.seen().ear().bells, 0, "rang before it was due");
    }
    screen.see("▲ five-minute-epoxy");
    let rang = start.elapsed();
    screen.wait_for("a bell and a title", |seen| {
        seen.ear().bells == 1 && seen.title() == "▲ pot life ends: five-minute-epoxy"
    });
    let early = time(&facts["stages"][0]["early"]).duration_since(Timestamp::now());
    println!("due 4 s after the mix was typed, rang after {rang:?}; the early edge is now {early:#} ahead");
    assert!(rang > Duration::from_secs(2), "{rang:?}");
    screen.see("due ");
}

#[test]
fn an_alarm_is_snoozed_for_the_minutes_typed() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "pond", "--at", "20m ago"]);
    let mut screen = home.open();
    screen.see("▲ pond");
    screen.keys("z");
    screen.see("snooze pond: pot life ends");
    screen.keys("\u{8}\u{8}0\r");
    screen.see("! '0' is not a number of minutes from 1 to 720");
    screen.keys("\u{8}25\r");
    screen.see_gone("snooze pond");
    screen.wait_for("silence", |seen| seen.title() == "nightpour");
    assert!(home.notebook().last().unwrap().starts_with("snoozed 1 pond: pot life ends until "));
    assert_eq!(screen.seen().ear().bells, 1);
}

//! The bench with the keys alone.

use crate::home::{Home, PROGRAM, USUAL};
use crate::pty::Screen;
use std::time::{Duration, Instant};

#[test]
fn an_empty_notebook_opens_with_a_hint_and_leaves_no_trace() {
    let home = Home::new();
    let mut screen = home.open();
    screen.see("No clock runs.");
    screen.see("Press m when two parts have touched");
    {
        let seen = screen.seen();
        assert!(seen.screen().alternate_screen() && seen.screen().hide_cursor() && seen.screen().bracketed_paste());
        assert_eq!(seen.title(), "nightpour");
    }
    assert!(!screen.is_cooked());
    screen.see("desktop: no session");
    screen.keys("q");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

#[test]
fn a_profile_that_cannot_be_used_is_told_on_the_screen() {
    let home = Home::new();
    home.write_profile("uv-resin.toml", "floor_c = 55F");
    home.write_profile("clear-polyester.toml", "");
    let screen = home.open();
    screen.see("! your 'clear-polyester.toml' is not used: see 'nightpour profiles check'");
}

#[test]
fn a_batch_is_mixed_from_the_keys_alone() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("m");
    screen.see("mix a batch");
    screen.keys("c");
    screen.see("‹ clear-polyester ›");
    screen.keys("\tfirst layer");
    // The form tells the weights while they are typed.
    screen.keys("\t80\t2\t10");
    screen.see("Weigh resin 80.0 g + catalyst 1.60 g");
    screen.keys("\r");
    screen.see_gone("mix a batch");
    screen.wait_for("the batch with its bar", |seen| {
        let text = seen.screen().contents();
        ["▸1 first layer", "░▒", "▒│", "pot life "].iter().all(|part| text.contains(part))
    });
    let clocks = home.clocks();
    assert_eq!(clocks.len(), 1);
    assert_eq!((clocks[0]["label"].as_str(), clocks[0]["dose_percent"].as_f64()), (Some("first layer"), Some(2.0)));
    let notebook = home.notebook();
    let lines = ["profile of clear-polyester kept", "mixed clear-polyester for first layer, 80 g, 2.00 %, 10 mm"];
    assert_eq!(notebook, lines);
}

#[test]
fn a_stage_is_written_down_with_two_keys_and_back_dated_with_words() {
    let home = Home::new();
    let mut screen = home.open();
    let mixed = Instant::now();
    home.run(&["mix", "clear-polyester", "--label", "pond", "--at", "40m ago"]);
    let command = mixed.elapsed();
    let seen = screen.see("▸1 pond");
    println!("a mix of {command:?} by the command line is on the open screen after {seen:?} more");
    assert!(seen < Duration::from_secs(1), "{seen:?}");

    screen.keys("o1");
    screen.see("pot life ends already there");
    screen.keys("o");
    screen.see("batch 1 · pond");
    // To the gel, which is next, and past how it was seen to when.
    screen.keys("\t\t");
    screen.keys("\u{8}\u{8}\u{8}20 min ago\r");
    screen.see("gel already there");
    let clock = &home.clocks()[0];
    let reached: Vec<_> = clock["stages"].as_array().unwrap().iter().map(|s| s["reached_at"].as_str()).collect();
    let [Some(pot), Some(gel), None, ..] = reached[..] else { panic!("{reached:?}") };
    let [pot, gel]: [jiff::Timestamp; 2] = [pot, gel].map(|at| at.parse().unwrap());
    let apart = pot.duration_since(gel).as_secs();
    assert!((1199..1260).contains(&apart), "gel was put down as {apart} s before the pot life's end");
}

#[test]
fn the_newest_entry_is_undone_and_a_batch_finished() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--label", "pond"]);
    home.run(&["mix", "slow-epoxy", "--label", "hull"]);
    let mut screen = home.open();
    screen.see("2 clocks");
    screen.keys("u");
    screen.see("mixed slow-epoxy for hull");
    screen.keys("u");
    screen.see("1 clock ");
    assert!(home.notebook().contains(&"× mixed slow-epoxy for hull".to_owned()), "{:?}", home.notebook());
    screen.keys("f");
    screen.see("f finish");
    screen.keys("f");
    screen.see("No clock runs.");
    assert_eq!(home.notebook().last().unwrap(), "finished with 1 pond");
    assert_eq!(home.clocks().len(), 0);
    screen.keys("uu");
    screen.see("1 clock ");
}

#[test]
fn quitting_asks_while_clocks_run() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester"]);
    let mut screen = home.open();
    screen.keys("q");
    screen.see("Quitting stops the alarms.");
    screen.keys("\x1b");
    screen.see_gone("Quitting stops the alarms.");
    // Another key than those named is a slip, and stays.
    screen.keys("qx");
    screen.keys("t");
    screen.see("°C, at the height of the work");
    screen.keys("\x1b");
    screen.see_gone("°C, at the height of the work");
    screen.keys("qq");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

#[test]
fn help_lists_every_key() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("?");
    screen.see("any other key closes");
    for words in ["acknowledge the alarm", "pour the next layer", "choose the batch above"] {
        screen.see(words);
    }
    // It is longer than the screen.
    screen.keys(&"\x1b[6~".repeat(6));
    for words in ["quit; asks first", "fg' returns", "a trial cup come first"] {
        screen.see(words);
    }
    screen.keys(" ");
    screen.see_gone("any other key closes");
}

#[test]
fn without_a_terminal_the_screen_says_so_and_names_what_to_do() {
    let home = Home::new();
    // Standard output goes to a file, with a terminal behind the keys.
    let command = format!("'{PROGRAM}' >picture; echo code $?");
    let mut screen = Screen::start(home.command(&["sh", "-c", &command]), USUAL);
    screen.see("code 1");
    screen.see("nightpour --help");
    screen.end();
    screen.assert_given_back();
    let output = home.output(&[]);
    assert_eq!(output.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&output.stderr).contains("Run nightpour in a terminal window"));
    assert_eq!(output.stdout, b"");
}

#[test]
fn a_label_written_into_a_profile_while_the_screen_is_open_counts_for_the_next_mix() {
    let home = Home::new();
    let mut screen = home.open();
    screen.see("No clock runs.");
    let text = include_str!("../../profiles/clear-polyester.toml");
    home.write_profile("clear-polyester.toml", &text.replace("after = \"30m\"", "after = \"20m\""));
    screen.keys("mc");
    screen.see("‹ clear-polyester ›");
    screen.keys("\r");
    screen.see("▸1 clear-polyester");
    let clock = &home.clocks()[0];
    let time = |value: &serde_json::Value| value.as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
    let gel = time(&clock["stages"][1]["likely"]).duration_since(time(&clock["started"]));
    assert!((1199..=1201).contains(&gel.as_secs()), "{gel:?}");
}

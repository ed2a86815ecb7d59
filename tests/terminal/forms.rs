//! The temperature form: what it changes, what it refuses, and what typing cannot do to it.

use crate::home::Home;
use crate::pty::doing;
use std::time::Duration;

#[test]
fn a_temperature_moves_the_forecasts() {
    let home = Home::new();
    home.run(&["temp", "20"]);
    home.run(&["mix", "clear-polyester"]);
    let left = |home: &Home| home.clocks()[0]["stages"][1]["seconds_left"].as_i64().unwrap();
    let warm = left(&home);
    let mut screen = home.open();
    screen.keys("t15,5\r");
    screen.see("bench 15.5");
    let cold = left(&home);
    assert!(cold > warm + 400, "gel {warm} s ahead at 20 °C, {cold} s at 15.5 °C");
    // Below the profile's floor nothing cures.
    screen.keys("t9\r");
    screen.see("clock stands: 9.0 °C");
}

#[test]
fn a_bad_temperature_is_refused_in_words_and_nothing_is_written() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("tcold\r");
    screen.see("! 'cold' is not a number");
    screen.keys(&"\u{8}".repeat(4));
    screen.keys("900\r");
    screen.see("! '900' is not a temperature in °C between -60 and 400");
    screen.keys(&"\u{8}".repeat(3));
    screen.keys("\r");
    screen.see("! type the temperature in °C");
    // A time that is still to come.
    screen.keys("19\t\t\u{8}\u{8}\u{8}2199-01-01 00:00\r");
    screen.see("ahead of the clock");
    assert_eq!(home.notebook(), [""; 0]);
    screen.keys("\x1b");
    screen.see_gone("bench temperature ━");
    assert_eq!(home.notebook(), [""; 0]);
}

#[test]
fn pasted_text_goes_into_the_field_without_its_control_characters() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("t\x1b[200~19\x07.5\r\x1b[201~");
    screen.see("19.5");
    assert_eq!(home.notebook(), [""; 0], "a pasted line end must not press Enter");
    screen.keys("\r");
    screen.see("bench 19.5");
}

#[test]
fn many_keys_at_once_are_all_taken_and_cost_nothing_afterwards() {
    flood(2);
}

#[test]
fn a_flood_of_keys_is_taken_to_its_last_and_costs_nothing_afterwards() {
    flood(40);
}

/// Types so many times five hundred keys that do nothing, and then one that opens a form.
fn flood(times: usize) {
    let home = Home::new();
    let mut screen = home.open();
    for _ in 0..times {
        screen.keys(&"j".repeat(500));
    }
    screen.keys("t");
    screen.see("°C, at the height of the work");
    screen.settle();
    let before = doing(screen.pid).unwrap().ticks;
    std::thread::sleep(Duration::from_millis(500));
    let spent = doing(screen.pid).unwrap().ticks - before;
    assert!(spent <= 10, "{spent} ticks of 50 after the flood");
    screen.keys("\x1b");
    screen.see_gone("°C, at the height of the work");
    screen.keys("q");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

//! The rehearsal: on the screen, as lines, and where there is no terminal.

use crate::home::{Home, PROGRAM, USUAL};
use crate::pty::{Screen, Seen};
use jiff::civil::{DateTime, date};

#[test]
fn a_night_is_rehearsed_on_the_screen_to_its_end() {
    let home = Home::new();
    let mut screen = Screen::start(home.command(&[PROGRAM, "rehearse", "--speed", "20000"]), USUAL);
    let end = date(2026, 2, 21).at(7, 30, 0, 0);
    screen.wait_for("the end of the night", |seen| clock(seen).is_some_and(|now| now >= end));
    assert!(screen.seen().ear().bells > 1);
    screen.keys("qq");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
    assert!(!home.store().exists(), "a rehearsal must not touch the notebook");
}

/// What the clock in the first line shows.
fn clock(seen: &Seen) -> Option<DateTime> {
    let text = seen.screen().contents();
    let shown = text.strip_prefix("nightpour  ")?.get(..22)?;
    DateTime::strptime("%a %d %b %Y  %H:%M", shown).ok()
}

#[test]
fn a_night_is_rehearsed_as_lines() {
    let home = Home::new();
    let night = home.run(&["rehearse", "--headless"]);
    assert!(night.starts_with("A shell-and-seedhead column in five layers (invented)\n19:00 "), "{night}");
    for words in ["▲ mould seam · pot life ends", "finished with", "next layer opens"] {
        assert!(night.contains(words), "{words} is not in\n{night}");
    }
    assert!(!night.contains('\x1b'));
    assert_eq!(home.run(&["rehearse", "--headless"]), night, "the same night every time");

    let piped = home.output(&["rehearse"]);
    assert!(piped.status.success());
    assert_eq!(String::from_utf8_lossy(&piped.stdout), night);
    assert!(String::from_utf8_lossy(&piped.stderr).contains("no terminal here"));
    assert!(!home.store().exists());
}

#[test]
fn an_impossible_speed_is_refused_before_the_terminal_is_taken() {
    let home = Home::new();
    let mut screen = Screen::start(home.command(&[PROGRAM, "rehearse", "--speed", "0"]), USUAL);
    screen.see("a rehearsal cannot run at speed '0'");
    assert_eq!(screen.end().code, 1);
    screen.assert_given_back();
}

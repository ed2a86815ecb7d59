//! Every size of window, and back.

use crate::home::{Home, PROGRAM};
use crate::pty::{Screen, Size};
use std::thread;
use std::time::Duration;

#[test]
fn the_picture_follows_the_window_down_to_one_cell_and_back() {
    let home = Home::new();
    home.run(&["temp", "20"]);
    home.run(&["mix", "clear-polyester", "--label", "pond", "--resin-g", "80"]);
    let mut screen = Screen::start(home.command(&[PROGRAM]), Size(120, 40));
    screen.see("? help");
    let sizes = [
        (Size(80, 24), "u undoes the newest"),
        (Size(40, 12), "▸1 pond"),
        (Size(30, 8), "Nightpour needs 40×12; this is\n30×8."),
        (Size(1, 1), ""),
        (Size(30, 8), "30×8."),
        (Size(40, 12), "▸1 pond"),
        (Size(80, 24), "u undoes the newest"),
        (Size(250, 70), "mixed clear-polyester for pond"),
        (Size(120, 40), "mixed clear-polyester for pond"),
    ];
    for (size, words) in sizes {
        screen.resize(size, words);
        fits(&screen, size);
    }
    // Forms and help open on any size that has panes.
    for size in [Size(120, 40), Size(60, 18), Size(40, 12)] {
        screen.resize(size, "? help");
        for (key, words) in [("m", "mix a batch"), ("o", "batch 1 · pond"), ("?", "keys ━"), ("q", "quit? ━")] {
            screen.keys(key);
            screen.see(words);
            fits(&screen, size);
            screen.keys("\x1b");
            screen.see_gone(words);
        }
    }
    screen.keys("qq");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

#[test]
fn a_form_stays_open_with_what_was_typed_while_the_window_changes() {
    let home = Home::new();
    let mut screen = home.open();
    screen.keys("t19");
    screen.see("19");
    screen.resize(Size(20, 5), "20×5.");
    screen.resize(Size(80, 24), "▸bench     19");
    screen.keys(".5\r");
    screen.see("bench 19.5");
}

#[test]
fn a_key_that_comes_together_with_a_change_of_size_is_not_lost() {
    let home = Home::new();
    let mut screen = home.open();
    for round in 0..100 {
        screen.settle();
        screen.change_size(Size(81 + round, 24));
        thread::sleep(Duration::from_micros(5 * u64::from(round)));
        screen.keys("t");
        screen.see("°C, at the height of the work");
        screen.settle();
        screen.keys("\x1b");
        screen.see_gone("°C, at the height of the work");
    }
}

/// No line of the picture runs over the edge into the next.
#[track_caller]
fn fits(screen: &Screen, size: Size) {
    let seen = screen.seen();
    assert_eq!(seen.screen().size(), (size.rows(), size.columns()));
    let over: Vec<u16> = (0..size.1).filter(|row| seen.screen().row_wrapped(*row)).collect();
    assert_eq!(over, [0; 0], "lines run over at {size:?}:\n{}", seen.screen().contents());
}

//! The terminal is gone: window closed, connection lost.

use crate::home::{Home, PROGRAM, USUAL};
use crate::pty::{Screen, children, doing, wait_until_gone};
use std::time::Duration;

/// Far above what leaving takes, far below what a program that reads an ended terminal over and over would use.
const FEW_TICKS: u64 = 15;

#[track_caller]
fn small(what: &str, after: Duration, ticks: u64) {
    println!("{what}: ended after {after:?}, {ticks} ticks (10 ms) of processor time since");
    assert!(after < Duration::from_secs(2), "{what}: {after:?}");
    assert!(ticks <= FEW_TICKS, "{what}: {ticks} ticks");
}

#[test]
fn the_program_ends_with_its_terminal() {
    for (what, command) in [
        ("as the terminal's own program", format!("exec '{PROGRAM}'")),
        ("told to ignore the hang-up", format!("trap '' HUP; exec '{PROGRAM}'")),
    ] {
        let home = Home::new();
        home.run(&["mix", "clear-polyester"]);
        let mut screen = Screen::start(home.command(&["sh", "-c", &command]), USUAL);
        screen.see("? help");
        let before = doing(screen.pid).unwrap().ticks;
        screen.vanish();
        let after = screen.wait_until_doing("ended", |now| now.state == 'Z');
        small(what, after, doing(screen.pid).unwrap().ticks - before);
        let ended = screen.end();
        println!("{ended:?}");
        assert!(ended.signal.is_none() && ended.code <= 1, "{ended:?}");
        assert_eq!(home.clocks().len(), 1);
    }
}

/// Under a shell that ignores the hang-up no signal tells the program: the end of its input must.
#[test]
fn the_program_ends_with_its_terminal_without_being_told_by_a_signal() {
    for keys in ["", "j", "t19"] {
        let home = Home::new();
        // The word after the program keeps the shell there, as the terminal's own program.
        let script = format!("trap '' HUP; '{PROGRAM}'; :");
        let mut screen = Screen::start(home.command(&["sh", "-c", &script]), USUAL);
        screen.see("? help");
        let [program] = children(screen.pid)[..] else { panic!("the shell has started one program") };
        let before = doing(program).unwrap().ticks;
        screen.keys(keys);
        screen.vanish();
        let (after, ticks) = wait_until_gone(program, before);
        small(&format!("with '{keys}' typed before the end"), after, ticks - before);
        screen.end();
    }
}

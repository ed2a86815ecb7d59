//! Stopped and continued: with Ctrl-Z, by another program, and behind the program's back.

use crate::home::{Home, PROGRAM, USUAL};
use crate::pty::{Screen, Seen, children, settle};
use rustix::process::Signal;
use rustix::termios::{LocalModes, OptionalActions, tcgetattr, tcsetattr};
use std::fs::File;

/// A home with a batch, and the screen on it.
fn at_work() -> (Home, Screen) {
    let home = Home::new();
    home.run(&["temp", "20"]);
    home.run(&["mix", "clear-polyester", "--label", "pond"]);
    let screen = home.open();
    screen.see("▸1 pond");
    (home, screen)
}

/// The whole picture is there, on a terminal that is ours, and the keys work.
#[track_caller]
fn works_on(screen: &mut Screen) {
    for words in ["nightpour  ", "clocks ─", "▸1 pond", "bench temperature ─", "notebook ─", "? help"] {
        screen.see(words);
    }
    screen.settle();
    screen.wait_for("the terminal taken", |seen| {
        seen.screen().alternate_screen() && seen.screen().hide_cursor() && seen.screen().bracketed_paste()
    });
    assert!(!screen.is_cooked());
    screen.wait_for("one title kept, one set", |seen| seen.ear().titles_kept == 1 && seen.title() == "nightpour");
    screen.keys("t18\r");
    screen.see("bench 18.0");
    screen.keys("qq");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

#[test]
fn ctrl_z_without_a_shell_to_come_back_from_does_not_freeze_the_night() {
    let (_home, mut screen) = at_work();
    screen.keys("\x1a");
    screen.see("no shell waits behind this window");
    works_on(&mut screen);
}

#[test]
fn stopped_by_another_program_it_gives_the_terminal_back_and_continuing_takes_it_again() {
    let (_home, mut screen) = at_work();
    screen.signal(Signal::TSTP);
    screen.stops();
    screen.wipe();
    screen.signal(Signal::CONT);
    works_on(&mut screen);
}

#[test]
fn a_stop_from_outside_is_like_ctrl_z_even_in_a_form() {
    let (_home, mut screen) = at_work();
    screen.keys("t1");
    screen.see("▸bench     1");
    screen.signal(Signal::TSTP);
    screen.stops();
    screen.wipe();
    screen.signal(Signal::CONT);
    screen.see("▸bench     1");
    screen.settle();
    screen.keys("\x1b");
    screen.see_gone("▸bench");
    works_on(&mut screen);
}

#[test]
fn a_terminal_spoiled_while_stopped_is_set_right() {
    let (_home, mut screen) = at_work();
    let device = File::open(screen.device()).unwrap();
    screen.signal(Signal::STOP);
    screen.wait_until_doing("stopped", |now| now.state == 'T');
    let mut cooked = tcgetattr(&device).unwrap();
    cooked.local_modes |= LocalModes::ICANON | LocalModes::ECHO | LocalModes::ISIG;
    tcsetattr(&device, OptionalActions::Now, &cooked).unwrap();
    drop(device);
    assert!(screen.is_cooked());
    screen.wipe();
    screen.signal(Signal::CONT);
    works_on(&mut screen);
}

#[test]
fn a_shell_gets_its_prompt_back_and_fg_returns() {
    let home = Home::new();
    let mut command = home.command(&["bash", "--norc", "--noprofile", "--noediting", "-i"]);
    command.env("PS1", "READY> ");
    let mut screen = Screen::start(command, USUAL);
    screen.see("READY> ");
    screen.keys(&format!("'{PROGRAM}'\n"));
    screen.see("? help");
    for _ in 0..3 {
        screen.keys("\x1a");
        screen.wait_for("the shell's word", |seen| prompts(seen) && seen.screen().contents().contains("Stopped"));
        assert_eq!(screen.seen().left_behind(), [""; 0]);
        screen.wipe();
        screen.keys("fg\n");
        screen.see("? help");
        screen.see("No clock runs.");
        let [program] = children(screen.pid)[..] else { panic!("the shell has one job") };
        settle(program);
    }
    screen.keys("q");
    screen.wait_for("the prompt", prompts);
    screen.keys("echo code $?\n");
    screen.see("code 0");
    screen.keys("exit\n");
    screen.end();
    screen.assert_given_back();
}

/// The shell waits for its next line.
fn prompts(seen: &Seen) -> bool {
    !seen.screen().alternate_screen() && seen.screen().contents().trim_end().ends_with("READY>")
}

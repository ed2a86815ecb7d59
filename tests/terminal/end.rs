//! Every way out gives the terminal back.

use crate::home::{Home, USUAL};
use crate::pty::Screen;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::clock::{Clock, SystemClock};
use nightpour::material::Catalogue;
use nightpour::notebook::Notebook;
use nightpour::settings::{ChannelSettings, Settings};
use nightpour::tui::{Options, run};
use rustix::process::Signal;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::thread;
use std::time::Duration;

#[test]
fn a_signal_that_ends_the_program_finds_the_terminal_given_back() {
    for signal in [Signal::TERM, Signal::HUP, Signal::INT] {
        let home = Home::new();
        home.run(&["mix", "clear-polyester", "--at", "30m ago"]);
        let mut screen = home.open();
        screen.keys("t1");
        screen.see("▸bench     1");
        screen.signal(signal);
        let ended = screen.end();
        println!("{signal:?}: ended after {:?} with code {}", ended.after, ended.code);
        assert_eq!((ended.code, ended.signal), (0, None), "{signal:?}");
        assert!(ended.after < Duration::from_secs(2), "{signal:?}: {:?}", ended.after);
        screen.assert_given_back();
        assert_eq!(home.clocks().len(), 1);
    }
}

#[test]
fn ctrl_c_is_a_key_that_asks_like_q() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester"]);
    let mut screen = home.open();
    screen.keys("\x03");
    screen.see("Quitting stops the alarms.");
    screen.keys("\r");
    assert_eq!(screen.end().code, 0);
    screen.assert_given_back();
}

#[test]
fn an_unreadable_notebook_is_said_before_the_terminal_is_taken() {
    let home = Home::new();
    std::fs::write(home.store(), "no notebook at all, but a letter that somebody has put there by mistake").unwrap();
    let mut screen = Screen::start(home.command(&[crate::home::PROGRAM]), USUAL);
    assert_eq!(screen.end().code, 1);
    screen.see("nightpour: ");
    screen.assert_given_back();
    assert!(!String::from_utf8_lossy(&screen.seen().raw).contains("\x1b[?1049h"));
}

/// The machine's clock, until it has been asked so often.
struct FailingClock {
    asked: AtomicUsize,
}

impl Clock for FailingClock {
    fn now(&self) -> Timestamp {
        assert!(self.asked.fetch_add(1, Ordering::SeqCst) < 12, "the clock has stopped (invented)");
        SystemClock.now()
    }

    fn real_duration(&self, _: SignedDuration) -> Duration {
        Duration::from_millis(20)
    }
}

#[test]
#[ignore = "started by the test below as a program of its own, and fails"]
fn bench_that_fails() {
    let Some(store) = std::env::var_os("NIGHTPOUR_STORE") else { return };
    let main = thread::Builder::new().name("main".to_owned()).spawn(move || {
        run(Options {
            clock: Box::new(FailingClock { asked: AtomicUsize::new(0) }),
            zone: TimeZone::UTC,
            materials: Box::new(|| (Catalogue::embedded(), Vec::new())),
            notebook: Notebook::open(store.as_ref()).unwrap(),
            palette: None,
            settings: Settings { channels: ChannelSettings::none(), ..Settings::default() },
            reread: None,
            troubles: Vec::new(),
            script: None,
            frame_gap: Duration::ZERO,
        })
    });
    assert!(main.unwrap().join().is_err(), "the clock must fail");
}

#[test]
fn a_panic_leaves_the_terminal_as_it_was_and_its_message_readable() {
    let home = Home::new();
    let this = std::env::current_exe().unwrap();
    let arguments = [this.to_str().unwrap(), "--exact", "end::bench_that_fails", "--ignored", "--nocapture"];
    let mut screen = Screen::start(home.command(&arguments), USUAL);
    screen.end();
    screen.assert_given_back();
    screen.see("the clock has stopped (invented)");
    let raw = String::from_utf8_lossy(&screen.seen().raw).into_owned();
    let [opened, left, said] = ["\x1b[?1049h", "\x1b[?1049l", "the clock has stopped"].map(|part| raw.find(part));
    assert!(opened.is_some() && opened < left && left < said, "{opened:?} {left:?} {said:?}");
}

/// The same look at a program that leaves everything behind: if this passed, the tests above would prove nothing.
#[test]
fn a_program_that_gives_nothing_back_is_found_out() {
    let home = Home::new();
    let script =
        r"printf '\033[22;0t\033[?1049h\033[?25l\033[?2004h\033[?2026h\033[31m'; stty raw -echo; kill -TERM $$";
    let mut screen = Screen::start(home.command(&["sh", "-c", script]), USUAL);
    let ended = screen.end();
    assert!(ended.signal.is_some(), "{ended:?}");
    let left = screen.left_behind();
    let all = [
        "alternate screen",
        "hidden cursor",
        "bracketed paste",
        "colours",
        "title stack",
        "synchronized update",
        "raw mode",
        "terminal settings",
    ];
    assert_eq!(left, all);

    let mut screen = Screen::start(home.command(&["sh", "-c", "stty -opost; kill -TERM $$"]), USUAL);
    screen.end();
    assert_eq!(screen.left_behind(), ["terminal settings"]);
}

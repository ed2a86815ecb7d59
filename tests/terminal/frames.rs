//! What is written, byte by byte: whole frames, and nothing at rest.

use crate::home::Home;
use crate::pty::{Screen, Size, doing};
use jiff::Timestamp;
use std::thread;
use std::time::Duration;

const BEGIN: &str = "\x1b[?2026h";
const END: &str = "\x1b[?2026l";

#[test]
fn every_cell_is_painted_inside_a_synchronized_update() {
    let home = Home::new();
    home.run(&["mix", "clear-polyester", "--at", "20m ago"]);
    let mut screen = home.open();
    screen.see("▲ ");
    screen.keys("a");
    screen.see_gone("▲ ");
    screen.keys("t19\r");
    screen.see("bench 19.0");
    screen.resize(Size(120, 40), "q quit");
    screen.keys("qq");
    screen.end();
    let raw = String::from_utf8_lossy(&screen.seen().raw).into_owned();
    let frames = raw.matches(BEGIN).count();
    // What comes at the same moment may share a frame.
    assert!(frames >= 4, "{frames} frames");
    let outside: String =
        raw.split(BEGIN).enumerate().map(|(i, part)| if i == 0 { part } else { after(part) }).collect();
    let allowed = [
        "\x1b[22;0t",
        "\x1b[23;0t",
        "\x1b[?1049h",
        "\x1b[?1049l",
        "\x1b[?2004h",
        "\x1b[?2004l",
        "\x1b[?25l",
        "\x1b[?25h",
        "\x1b[2J",
        "\x1b]0;nightpour\x1b\\",
        "\x1b]0;▲ pot life ends: clear-polyester\x1b\\",
        "\x07",
        // The way out ends an update, should it fall into one.
        END,
    ];
    let outside = without_notifications(&outside);
    let left = allowed.iter().fold(outside, |left, part| left.replace(part, ""));
    assert_eq!(left, "", "painted outside a frame");
}

/// `text` without what asks the terminal for a notification.
fn without_notifications(text: &str) -> String {
    let mut parts = text.split("\x1b]9;");
    let first = parts.next().unwrap().to_owned();
    parts.fold(first, |left, part| left + part.split_once("\x1b\\").expect("a notification has an end").1)
}

/// What follows the frame that `part` begins in.
fn after(part: &str) -> &str {
    part.split_once(END).unwrap_or_else(|| panic!("a frame has no end: {part:?}")).1
}

#[test]
fn at_rest_nothing_is_written_and_nothing_is_used() {
    const REST: Duration = Duration::from_secs(3);
    let home = Home::new();
    let screen = home.open();
    screen.see("desktop: no session");
    // A new minute is news; the rest must fall into one.
    let (written, ticks) = rest_within_a_minute(&screen, REST);
    println!("in {REST:?} at rest: {written} bytes, {ticks} ticks (10 ms)");
    assert_eq!(written, 0);
    assert!(ticks <= 1, "{ticks}");
}

/// Bytes written and processor time used in `length`, which lies within one minute.
fn rest_within_a_minute(screen: &Screen, length: Duration) -> (usize, u64) {
    let seconds = || u64::try_from(Timestamp::now().as_second().rem_euclid(60)).unwrap();
    loop {
        let left = 60 - seconds();
        if left < length.as_secs() + 2 {
            thread::sleep(Duration::from_secs(left + 1));
            continue;
        }
        // The last bytes may be on their way yet.
        screen.settle();
        thread::sleep(Duration::from_millis(200));
        let before = seconds();
        let (bytes, ticks) = (screen.seen().raw.len(), doing(screen.pid).unwrap().ticks);
        thread::sleep(length);
        // A machine so busy that the minute passed all the same: once more.
        if seconds() > before {
            return (screen.seen().raw.len() - bytes, doing(screen.pid).unwrap().ticks - ticks);
        }
    }
}

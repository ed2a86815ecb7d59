//! The desktop channel against a real notification daemon (dunst) on a real session bus. `.ci/desktop-alarm` sets
//! both up and sets `NIGHTPOUR_TEST_BUS` to the folder with the daemon's settings; everywhere else the tests are listed as
//! ignored, by name.
#![cfg(target_os = "linux")]
#![allow(clippy::disallowed_methods, reason = "these tests measure real delays")]
#![allow(clippy::unwrap_used, reason = "a helper that cannot go on fails its test")]

mod desktop_support;

use desktop_support::{Desk, alarm, notice, threads};
use nightpour::{
    alarm::{DesktopEvent, Health},
    bench::{AlarmId, Urgency},
};
use serde_json::Value;
use std::{
    env,
    io::{BufRead, BufReader},
    path::PathBuf,
    process::{Command, Stdio},
    sync::{Mutex, MutexGuard, PoisonError},
    thread,
    time::{Duration, Instant},
};

/// One daemon, so one test at a time.
fn daemon() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    assert!(env::var_os("NIGHTPOUR_TEST_BUS").is_some(), "no test bus here: run .ci/desktop-alarm");
    let guard = ONE.lock().unwrap_or_else(PoisonError::into_inner);
    run("dunstctl", &["close-all"]);
    until("an empty desktop", || displayed() == 0);
    guard
}

fn run(program: &str, arguments: &[&str]) -> String {
    let output = Command::new(program).args(arguments).output().unwrap();
    assert!(output.status.success(), "{program} {arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Waits until `holds`, at most 10 s, and tells how long it took.
fn until(what: &str, holds: impl Fn() -> bool) -> Duration {
    let start = Instant::now();
    while !holds() {
        assert!(start.elapsed() < Duration::from_secs(10), "no {what} within 10 s");
        thread::sleep(Duration::from_millis(1));
    }
    start.elapsed()
}

fn displayed() -> usize {
    run("dunstctl", &["count", "displayed"]).trim().parse().unwrap()
}

/// The notification last closed, as the daemon remembers it.
fn last_closed() -> Value {
    let mut history: Value = serde_json::from_str(&run("dunstctl", &["history"])).unwrap();
    history["data"][0][0].take()
}

fn field<'a>(closed: &'a Value, name: &str) -> &'a Value {
    &closed[name]["data"]
}

fn open_and_working() -> Desk {
    let desk = Desk::open();
    desk.wait_for_health("works", |health| matches!(health, Health::Works { .. }));
    desk
}

fn wait_acknowledged(desk: &Desk, alarm: AlarmId) -> Duration {
    desk.wait_for("acknowledged", |event| *event == DesktopEvent::Acknowledged(alarm)).1
}

/// Starts a daemon with `settings`; it ends with the bus at the latest.
fn start_daemon(settings: &str) {
    let folder = PathBuf::from(env::var_os("NIGHTPOUR_TEST_BUS").unwrap());
    let mut daemon =
        Command::new("dunst").arg("-conf").arg(folder.join(settings)).stderr(Stdio::null()).spawn().unwrap();
    thread::spawn(move || daemon.wait());
    until("a daemon", named);
}

fn kill_daemon() {
    run("kill", &["-KILL", &daemon_process()]);
    until("free name", || !named());
}

/// The daemon's process.
fn daemon_process() -> String {
    let reply = run(
        "dbus-send",
        &[
            "--session",
            "--print-reply=literal",
            "--dest=org.freedesktop.DBus",
            "/org/freedesktop/DBus",
            "org.freedesktop.DBus.GetConnectionUnixProcessID",
            "string:org.freedesktop.Notifications",
        ],
    );
    reply.split_whitespace().last().unwrap().to_owned()
}

fn named() -> bool {
    let status = Command::new("dunstctl").args(["count"]).stdout(Stdio::null()).stderr(Stdio::null()).status();
    status.unwrap().success()
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn the_daemon_names_itself_and_takes_answers() {
    let _guard = daemon();
    let (health, after) = Desk::open().wait_for_health("works", |health| *health != Health::Unknown);
    assert_eq!(health.to_string(), "desktop: alarms shown by 'dunst', a click there acknowledges");
    println!("figure: daemon known {after:?} after opening the channel");
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn a_notice_arrives_word_for_word_and_a_click_acknowledges() {
    let _guard = daemon();
    let desk = open_and_working();
    for (batch, urgency, word) in
        [(1, Urgency::Low, "low"), (2, Urgency::Normal, "normal"), (3, Urgency::Critical, "critical")]
    {
        let notice = notice(batch, urgency, "Pour layer 2 <i>now</i> & mix");
        let start = Instant::now();
        desk.channel.ring(notice.clone());
        until("notification", || displayed() == 1);
        let arrived = start.elapsed();

        let start = Instant::now();
        run("dunstctl", &["action"]);
        wait_acknowledged(&desk, notice.alarm);
        println!("figure: {word} shown {arrived:?} after its ring, acknowledged {:?} after the click", start.elapsed());
        until("empty desktop", || displayed() == 0);

        let closed = last_closed();
        assert_eq!(field(&closed, "appname"), "Nightpour");
        assert_eq!(field(&closed, "summary"), "Pour layer 2 <i>now</i> & mix");
        // This daemon draws markup, and keeps the body as it came: the text in it must be escaped, once.
        let body = "Pond with seedheads: 48 g resin &amp; 0.6 g catalyst, window &lt; 2 h";
        assert_eq!(field(&closed, "body"), body);
        // Its settings put the urgency it was told before what it draws.
        let drawn = field(&closed, "message").as_str().unwrap();
        assert!(drawn.starts_with(&format!("{word}: ")), "drawn: {drawn}");
    }
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn the_button_acknowledges() {
    let _guard = daemon();
    let desk = open_and_working();
    desk.channel.ring(notice(4, Urgency::Critical, "Window closes"));
    until("notification", || displayed() == 1);
    run("dunstctl", &["context"]);
    wait_acknowledged(&desk, alarm(4));
    until("empty desktop", || displayed() == 0);
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn a_repeat_takes_the_place_of_the_first_and_a_withdrawal_takes_it_away() {
    let _guard = daemon();
    let desk = open_and_working();
    desk.channel.ring(notice(5, Urgency::Normal, "Layer 2 soon"));
    desk.channel.ring(notice(6, Urgency::Normal, "Demould the trial cup"));
    until("two notifications", || displayed() == 2);
    for repeat in 1..=5 {
        desk.channel.ring(notice(5, Urgency::Critical, &format!("Layer 2 now, told {repeat} times")));
        thread::sleep(Duration::from_millis(100));
        assert_eq!(displayed(), 2, "repeat {repeat} did not take the place of the one before");
    }
    desk.channel.withdraw(alarm(6));
    until("one notification", || displayed() == 1);
    assert_eq!(field(&last_closed(), "summary"), "Demould the trial cup");

    // The last repeat is the one on the desktop, and still listens.
    run("dunstctl", &["action"]);
    wait_acknowledged(&desk, alarm(5));
    assert_eq!(field(&last_closed(), "summary"), "Layer 2 now, told 5 times");

    desk.channel.ring(notice(7, Urgency::Low, "Gel"));
    until("notification", || displayed() == 1);
    let start = Instant::now();
    desk.channel.withdraw(alarm(7));
    until("empty desktop", || displayed() == 0);
    println!("figure: withdrawn {:?} after the order", start.elapsed());
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn closing_is_not_acknowledging_and_the_next_ring_shows_again() {
    let _guard = daemon();
    let desk = open_and_working();
    desk.channel.ring(notice(8, Urgency::Critical, "Tack-free"));
    until("notification", || displayed() == 1);
    run("dunstctl", &["close"]);
    until("empty desktop", || displayed() == 0);
    desk.channel.ring(notice(8, Urgency::Critical, "Tack-free, again"));
    until("notification", || displayed() == 1);
    run("dunstctl", &["action"]);
    let acknowledged = desk.wait_for("anything", |event| matches!(event, DesktopEvent::Acknowledged(_)));
    assert_eq!(acknowledged.0, DesktopEvent::Acknowledged(alarm(8)));
    assert_eq!(field(&last_closed(), "summary"), "Tack-free, again");
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn what_is_critical_outstays_the_daemons_own_limit() {
    let _guard = daemon();
    let desk = open_and_working();
    desk.channel.ring(notice(11, Urgency::Normal, "Gel, expires"));
    until("notification", || displayed() == 1);
    // The settings give every urgency 4 s.
    desk.channel.ring(notice(12, Urgency::Critical, "Window closes, stays"));
    until("two notifications", || displayed() == 2);
    until("expiry", || displayed() == 1);
    thread::sleep(Duration::from_secs(2));
    assert_eq!(displayed(), 1);
    assert_eq!(field(&last_closed(), "summary"), "Gel, expires");
    run("dunstctl", &["action"]);
    wait_acknowledged(&desk, alarm(12));
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn alarms_on_the_desktop_cost_no_thread_each() {
    let _guard = daemon();
    let before = threads();
    let desk = open_and_working();
    for batch in 200..215 {
        desk.channel.ring(notice(batch, Urgency::Critical, "Pour"));
    }
    until("15 notifications", || displayed() == 15);
    thread::sleep(Duration::from_millis(100));
    // The channel's own thread and one of the library; the harness may be changing over to its next test.
    let more = threads().saturating_sub(before);
    assert!(more <= 4, "{more} threads more for 15 alarms");
    println!("figure: {more} threads for 15 alarms on the desktop");
    for batch in 200..215 {
        desk.channel.withdraw(alarm(batch));
    }
    until("empty desktop", || displayed() == 0);
}

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn no_answer_is_lost_in_many_rings() {
    let _guard = daemon();
    let desk = open_and_working();
    let mut answers: Vec<Duration> = (100..150)
        .map(|batch| {
            desk.channel.ring(notice(batch, Urgency::Critical, "Pour"));
            until("notification", || displayed() == 1);
            let start = Instant::now();
            run("dunstctl", &["action"]);
            wait_acknowledged(&desk, alarm(batch));
            let answered = start.elapsed();
            until("empty desktop", || displayed() == 0);
            answered
        })
        .collect();
    answers.sort_unstable();
    println!("figure: 50 answers, from click to event: median {:?}, longest {:?}", answers[25], answers[49]);
}

/// Stopped, the daemon holds its name and answers nobody; killed, nobody holds the name.
#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn a_daemon_that_hangs_or_dies_is_noticed_and_its_return_too() {
    let _guard = daemon();
    let desk = open_and_working();
    let process = daemon_process();

    run("kill", &["-STOP", &process]);
    let start = Instant::now();
    for repeat in 1..=3 {
        desk.channel.ring(notice(9, Urgency::Critical, &format!("Pour layer 3, told {repeat} times")));
    }
    let (slow, _) = desk.wait_for_health("slow", |health| matches!(health, Health::Slow { .. }));
    assert_eq!(slow, Health::Slow { waiting: 1 });
    println!("figure: a daemon that hangs was noticed after {:?}", start.elapsed());
    run("kill", &["-CONT", &process]);
    desk.wait_for_health("works again", |health| matches!(health, Health::Works { .. }));
    until("notification", || displayed() == 1);
    run("dunstctl", &["action"]);
    wait_acknowledged(&desk, alarm(9));
    assert_eq!(field(&last_closed(), "summary"), "Pour layer 3, told 3 times");

    kill_daemon();
    desk.channel.ring(notice(10, Urgency::Critical, "Demould"));
    let (health, _) = desk.wait_for_health("unreachable", |health| matches!(health, Health::Unreachable { .. }));
    assert_eq!(health.to_string(), "desktop: no notification service runs here; screen and bell only");

    start_daemon("dunstrc-plain");
    desk.channel.ring(notice(10, Urgency::Critical, "Demould, again"));
    until("notification", || displayed() == 1);
    run("dunstctl", &["action"]);
    wait_acknowledged(&desk, alarm(10));
    // The new one takes no markup, and was asked before it was sent any.
    let body = "Pond with seedheads: 48 g resin & 0.6 g catalyst, window < 2 h";
    assert_eq!(field(&last_closed(), "body"), body);
    kill_daemon();
    start_daemon("dunstrc");
}

/// The process of the bus that the inner run of the next test takes away.
const BUS_PROCESS: &str = "NIGHTPOUR_TEST_BUS_PROCESS";

#[test]
#[ignore = "needs a session bus: .ci/desktop-alarm runs it"]
fn a_bus_that_dies_under_a_shown_alarm_is_noticed() {
    const NAME: &str = "a_bus_that_dies_under_a_shown_alarm_is_noticed";
    if let Ok(process) = env::var(BUS_PROCESS) {
        return take_the_bus_away(&process);
    }
    let _guard = daemon();
    // A bus of its own, with a run of this test of its own on it.
    let settings = PathBuf::from(env::var_os("NIGHTPOUR_TEST_BUS").unwrap()).join("bus.conf");
    let mut bus = Command::new("dbus-daemon")
        .args(["--nofork", "--print-address", "--config-file"])
        .arg(settings)
        .stdout(Stdio::piped())
        .spawn()
        .unwrap();
    let mut address = String::new();
    BufReader::new(bus.stdout.take().unwrap()).read_line(&mut address).unwrap();
    let inner = Command::new(env::current_exe().unwrap())
        .args(["--exact", NAME, "--ignored", "--nocapture"])
        .env("DBUS_SESSION_BUS_ADDRESS", address.trim())
        .env(BUS_PROCESS, bus.id().to_string())
        .output()
        .unwrap();
    bus.wait().unwrap();
    let printed = String::from_utf8_lossy(&inner.stdout);
    assert!(printed.contains("1 passed"), "{printed}{}", String::from_utf8_lossy(&inner.stderr));
}

fn take_the_bus_away(process: &str) {
    start_daemon("dunstrc");
    let desk = open_and_working();
    desk.channel.ring(notice(13, Urgency::Critical, "Demould"));
    until("notification", || displayed() == 1);
    run("kill", &["-KILL", process]);
    let lost = |health: &Health| matches!(health, Health::Unreachable { .. });
    let (health, _) = desk.wait_for_health("bus lost", lost);
    assert_eq!(health.to_string(), "desktop: the session bus went away; screen and bell only");
    desk.channel.ring(notice(13, Urgency::Critical, "Demould, again"));
    let (health, _) = desk.wait_for_health("no bus", lost);
    assert_eq!(health.to_string(), "desktop: no session bus here; screen and bell only");
}

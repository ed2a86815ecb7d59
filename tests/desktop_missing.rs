//! The desktop channel where there is no desktop: it says so in time, and holds nobody up.
//!
//! The bus address comes from the environment, so each test runs itself again in a process of its own.
#![cfg(target_os = "linux")]
#![allow(clippy::disallowed_methods, reason = "these tests are about real time limits")]
#![allow(clippy::unwrap_used, reason = "a helper that cannot go on fails its test")]

mod desktop_support;

use desktop_support::{Desk, alarm, notice, threads};
use nightpour::{alarm::Health, bench::Urgency};
use std::{
    env,
    fs::File,
    io::Read,
    os::unix::net::{UnixListener, UnixStream},
    path::Path,
    process::{Child, Command, Stdio},
    sync::mpsc::channel,
    thread,
    time::{Duration, Instant},
};

/// Set in the process a test runs itself in.
const INNER: &str = "NIGHTPOUR_TEST_INNER";

/// A ring may take this long, whatever the desktop does.
const RING: Duration = Duration::from_millis(5);

/// Runs test `name` again where the session bus is at `address`; returns how long that took.
fn again(name: &str, address: Option<&str>) -> Duration {
    let home = tempfile::tempdir().unwrap();
    let mut command = Command::new(env::current_exe().unwrap());
    command
        .args(["--exact", name, "--nocapture"])
        .env(INNER, "1")
        // Where the library looks when no address is given.
        .env("XDG_RUNTIME_DIR", home.path())
        .env("HOME", home.path())
        .env_remove("DISPLAY")
        .env_remove("DBUS_SESSION_BUS_ADDRESS")
        .stdout(Stdio::piped());
    if let Some(address) = address {
        command.env("DBUS_SESSION_BUS_ADDRESS", address);
    }
    let start = Instant::now();
    let inner = command.spawn().unwrap();
    let printed = ended(inner, Duration::from_secs(30));
    let took = start.elapsed();
    assert!(printed.contains("1 passed"), "the inner test did not run or failed:\n{printed}");
    printed.lines().filter(|line| line.starts_with("figure:")).for_each(|line| println!("{line}"));
    took
}

/// What `inner` printed; kills it and panics if it does not end in time.
fn ended(mut inner: Child, limit: Duration) -> String {
    let mut stdout = inner.stdout.take().unwrap();
    let (sender, read) = channel();
    thread::spawn(move || {
        let mut printed = String::new();
        stdout.read_to_string(&mut printed).unwrap();
        sender.send(printed).unwrap();
    });
    let Ok(printed) = read.recv_timeout(limit) else {
        inner.kill().unwrap();
        panic!("the process did not end within {limit:?}");
    };
    inner.wait().unwrap();
    printed
}

fn inner() -> bool {
    env::var_os(INNER).is_some()
}

fn address(socket: &Path) -> String {
    format!("unix:path={}", socket.display())
}

/// Rings 100 alarms and checks that none held the caller up. Returns the longest ring.
fn ring_all(desk: &Desk) -> Duration {
    let mut rings = [Duration::ZERO; 100];
    for (batch, took) in (0..).zip(&mut rings) {
        let notice = notice(batch, Urgency::Critical, "Pour layer 2");
        let start = Instant::now();
        desk.channel.ring(notice);
        *took = start.elapsed();
    }
    rings.sort_unstable();
    // A busy machine may take this thread off the processor during a few of them, but not during half.
    assert!(rings[50] < RING, "half of the rings took {:?} and more", rings[50]);
    assert!(rings[99] < Duration::from_millis(500), "a ring took {:?}", rings[99]);
    rings[99]
}

fn unreachable_at_once() {
    let desk = Desk::open();
    let (health, after) = desk.wait_for_health("unreachable", |health| matches!(health, Health::Unreachable { .. }));
    assert_eq!(health.to_string(), "desktop: no session bus here; screen and bell only");
    assert!(after < Duration::from_secs(1), "only after {after:?}");
    let ring = ring_all(&desk);
    println!("figure: no bus known after {after:?}, slowest of 100 rings {ring:?}");
}

#[test]
fn no_socket_at_the_address() {
    if inner() {
        return unreachable_at_once();
    }
    let folder = tempfile::tempdir().unwrap();
    again("no_socket_at_the_address", Some(&address(&folder.path().join("nothing-here"))));
}

#[test]
fn no_address_at_all() {
    if inner() {
        return unreachable_at_once();
    }
    again("no_address_at_all", None);
}

#[test]
fn an_address_that_is_none() {
    if inner() {
        return unreachable_at_once();
    }
    again("an_address_that_is_none", Some("not an address"));
}

#[test]
fn a_bus_that_hangs_up() {
    if inner() {
        return unreachable_at_once();
    }
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("bus");
    let listener = UnixListener::bind(&socket).unwrap();
    thread::spawn(move || listener.incoming().for_each(drop));
    again("a_bus_that_hangs_up", Some(&address(&socket)));
}

#[test]
fn a_bus_that_never_answers() {
    if inner() {
        return silence();
    }
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("bus");
    let listener = UnixListener::bind(&socket).unwrap();
    thread::spawn(move || {
        let mut held: Vec<UnixStream> = Vec::new();
        for stream in listener.incoming() {
            held.push(stream.unwrap());
        }
    });
    let took = again("a_bus_that_never_answers", Some(&address(&socket)));
    assert!(took < Duration::from_secs(20), "the process took {took:?} to end");
    println!("figure: a process with a silent bus ended after {took:?} in all");
}

fn silence() {
    let before = threads();
    let desk = Desk::open();
    let ring = ring_all(&desk);

    let (health, after) = desk.wait_for_health("slow", |health| matches!(health, Health::Slow { .. }));
    assert_eq!(health.to_string(), "desktop: no answer for 3 s, 100 alarms not shown; screen and bell only");
    assert!((2.5..4.0).contains(&after.as_secs_f64()), "slow after {after:?}");

    for batch in 0..62 {
        desk.channel.withdraw(alarm(batch));
    }
    desk.wait_for_health("38 waiting", |health| *health == Health::Slow { waiting: 38 });

    // Later rings ask again, with one more thread and no more.
    ring_all(&desk);
    thread::sleep(Duration::from_millis(3_500));
    ring_all(&desk);
    let more = threads() - before;
    assert!(more <= 4, "{more} threads more than before: worker, two questions, the library's own");
    println!("figure: silent bus known after {after:?}, slowest ring {ring:?}, {more} threads held");

    let start = Instant::now();
    drop(desk);
    assert!(start.elapsed() < Duration::from_millis(500), "dropping the channel took {:?}", start.elapsed());
}

#[test]
fn a_silent_bus_that_hangs_up_after_all() {
    if inner() {
        let desk = Desk::open();
        desk.wait_for_health("slow", |health| matches!(health, Health::Slow { waiting: 0 }));
        let (health, _) = desk.wait_for_health("unreachable", |health| matches!(health, Health::Unreachable { .. }));
        assert_eq!(health.to_string(), "desktop: no session bus here; screen and bell only");
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("bus");
    let listener = UnixListener::bind(&socket).unwrap();
    thread::spawn(move || {
        let (_held, _) = listener.accept().unwrap();
        thread::sleep(Duration::from_secs(5));
    });
    again("a_silent_bus_that_hangs_up_after_all", Some(&address(&socket)));
}

#[test]
fn a_bus_that_talks_nonsense() {
    if inner() {
        return unreachable_at_once();
    }
    let folder = tempfile::tempdir().unwrap();
    let socket = folder.path().join("bus");
    let listener = UnixListener::bind(&socket).unwrap();
    thread::spawn(move || {
        for stream in listener.incoming() {
            let mut noise = File::open("/dev/urandom").unwrap().take(4096);
            // The library hangs up once it has seen enough.
            drop(std::io::copy(&mut noise, &mut stream.unwrap()));
        }
    });
    again("a_bus_that_talks_nonsense", Some(&address(&socket)));
}

//! The machine's clock set while the real program runs, by a library that fakes it. Needs libfaketime; .ci/real-alarms
//! installs it. It fakes the wall clock alone: the count since the machine was started stays true, as when a clock is set.

use crate::home::Home;
use crate::watch::Vigil;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;

fn library() -> PathBuf {
    let found = ["/usr/lib", "/usr/lib64", "/usr/local/lib"].into_iter().find_map(|folder| {
        let here = walk(Path::new(folder));
        here.into_iter().find(|path| path.ends_with("libfaketime.so.1"))
    });
    found.expect("libfaketime is installed")
}

fn walk(folder: &Path) -> Vec<PathBuf> {
    let inside = std::fs::read_dir(folder).into_iter().flatten().flatten().map(|entry| entry.path());
    let (folders, mut files): (Vec<PathBuf>, Vec<PathBuf>) =
        inside.partition(|path| path.is_dir() && !path.is_symlink());
    files.extend(folders.iter().filter(|path| path.components().count() < 6).flat_map(|folder| walk(folder)));
    files
}

/// The program under a clock that the file 'clock' sets.
fn faked(home: &Home, arguments: &[&str]) -> Command {
    let mut command = home.command(arguments);
    command
        .env("LD_PRELOAD", library())
        .env("FAKETIME_TIMESTAMP_FILE", home.path("clock"))
        .env("FAKETIME_NO_CACHE", "1")
        .env("FAKETIME_DONT_FAKE_MONOTONIC", "1")
        .env("DONT_FAKE_MONOTONIC", "1");
    command
}

fn run(home: &Home, arguments: &[&str]) -> String {
    let output = faked(home, arguments).output().unwrap();
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

/// Seconds left to the first stage of the first batch that runs.
fn left_s(home: &Home) -> i64 {
    let clocks: serde_json::Value = serde_json::from_str(&run(home, &["clocks", "--json"])).unwrap();
    clocks[0]["stages"][1]["seconds_left"].as_i64().unwrap()
}

#[test]
#[ignore = "needs libfaketime: run .ci/real-alarms"]
fn a_clock_that_is_set_moves_no_deadline_and_rings_nothing() {
    let home = Home::new();
    home.settle(&home.ring_into_file());
    home.write("clock", "+0");
    run(&home, &["temp", "20", "--at", "30m ago"]);
    run(&home, &["mix", "clear-polyester", "--at", "10m ago"]);
    let vigil = Vigil::of(faked(&home, &["vigil"]));
    let mut before = left_s(&home);
    for set in ["+3600", "-3600", "+86400", "-86400", "+0"] {
        home.write("clock", set);
        // A wait of the vigil's ends within a minute; what other processes write wakes it at once.
        run(&home, &["temp", "20"]);
        let after = left_s(&home);
        assert!((before - after).abs() <= 20, "{set}: {before} s left, then {after} s");
        before = after;
    }
    std::thread::sleep(Duration::from_millis(500));
    assert_eq!((home.rung(), vigil.count("▲")), (vec![], 0), "{:?}", vigil.lines());
    assert_eq!(vigil.count("the machine's clock was set"), 5, "{:?}", vigil.lines());
    let told = run(&home, &["notebook"]);
    assert_eq!(told.matches("the machine's clock was set").count(), 5, "{told}");
    // And what falls due by the time that has really passed, rings.
    run(&home, &["mix", "five-minute-epoxy", "--at", "5m ago"]);
    vigil.see("▲ five-minute-epoxy");
}

//! The core computes, and does nothing else: what it may not mention, a test that reads its source files finds. Comments,
//! texts and test modules do not count.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

#[path = "support/rust_source.rs"]
mod rust_source;

use rust_source::code_of;
use std::fs;
use std::path::{Path, PathBuf};

/// The pure rooms, and the pure files beside them.
const CORE: [&str; 13] = [
    "units.rs", "root.rs", "text.rs", "when.rs", "when", "material", "cure", "heat", "pour", "night", "learn", "bench",
    "strict",
];

/// What the core may not reach: the terminal, the disk, the environment, the clock and its zone, the rest of the program.
const FORBIDDEN: [&str; 36] = [
    "tokio",
    "ratatui",
    "crossterm",
    "rusqlite",
    "stl_io",
    "notify_rust",
    "notify::",
    "std::fs",
    "std::env",
    "std::io",
    "println!",
    "eprintln!",
    "print!",
    "eprint!",
    "dbg!",
    "std::net",
    "std::process",
    "std::thread",
    "crate::tui",
    "crate::cli",
    "crate::notebook",
    "crate::alarm",
    "crate::session",
    "crate::folders",
    "crate::fit",
    "crate::clock",
    "crate::sense",
    "crate::mesh_file",
    "crate::look_file",
    "crate::rehearsal",
    "crate::vigil",
    "crate::settings",
    "crate::machine",
    "crate::broker",
    "crate::limited",
    "TimeZone::system",
];

/// Where clocks are read.
const CLOCKS: [&str; 5] = ["Instant::now", "SystemTime::now", "Timestamp::now", "Zoned::now", "ZonedDateTime::now"];
const MOST_LINES: usize = 500;

fn src() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("src")
}

/// Every Rust file at or under `path`, with its name from src on and its text.
fn sources(path: &Path) -> Vec<(String, String)> {
    if path.is_dir() {
        let inside = fs::read_dir(path).unwrap().map(|entry| entry.unwrap().path());
        return inside.flat_map(|path| sources(&path)).collect();
    }
    if path.extension().is_none_or(|ending| ending != "rs") {
        return Vec::new();
    }
    let name = path.strip_prefix(src()).unwrap().to_string_lossy().replace('\\', "/");
    vec![(name, fs::read_to_string(path).unwrap())]
}

/// Files that are test modules as a whole: `#[cfg(test)] mod tests;` stands in the file above them.
fn is_test_module(name: &str) -> bool {
    ["/tests.rs", "/testing.rs"].iter().any(|ending| name.ends_with(ending))
}

/// Which of `words` the code of `source` mentions, as whole names, with `use` trees written out.
fn mentions<'w>(source: &str, words: &[&'w str]) -> Vec<&'w str> {
    let code = code_of(source);
    let name = |c: char| c.is_alphanumeric() || c == '_';
    let found = |word: &str| {
        code.match_indices(word).any(|(at, _)| {
            let before = code[..at].chars().next_back();
            let after = code[at + word.len()..].chars().next();
            !before.is_some_and(name) && (!after.is_some_and(name) || !word.ends_with(name))
        })
    };
    words.iter().copied().filter(|word| found(word)).collect()
}

#[test]
fn the_core_reaches_for_nothing_outside() {
    let forbidden: Vec<&str> = FORBIDDEN.into_iter().chain(CLOCKS).collect();
    let mut read = 0;
    let mut found = Vec::new();
    for (name, source) in
        CORE.iter().flat_map(|room| sources(&src().join(room))).filter(|(name, _)| !is_test_module(name))
    {
        read += 1;
        found.extend(mentions(&source, &forbidden).into_iter().map(|word| format!("{name} mentions {word}")));
    }
    assert!(read > 40, "only {read} files of the core were found");
    assert!(found.is_empty(), "the core must stay pure:\n{}", found.join("\n"));
}

#[test]
fn clocks_are_read_in_one_file_only() {
    let all = sources(&src());
    let readers: Vec<&str> =
        all.iter().filter(|(_, source)| !mentions(source, &CLOCKS).is_empty()).map(|(name, _)| name.as_str()).collect();
    assert_eq!(readers, ["clock.rs"]);
}

#[test]
fn no_file_is_too_long_to_be_read() {
    let long = sources(&src()).into_iter().map(|(name, source)| (name, source.lines().count()));
    let long: Vec<_> = long.filter(|(_, lines)| *lines > MOST_LINES).collect();
    assert!(long.is_empty(), "over {MOST_LINES} lines: {long:?}");
}

#[test]
fn the_check_finds_what_it_looks_for() {
    let bad = [
        ("use tokio::time;", "tokio"),
        ("use std::{fmt, fs::File};", "std::fs"),
        ("use std::{fmt, fs as files};", "std::fs"),
        ("use std::{\n    env::{self},\n};", "std::env"),
        ("use crate::{\n    material::Stage,\n    tui::{self, Options},\n};", "crate::tui"),
        ("fn now() { let _ = jiff::Timestamp::now(); }", "Timestamp::now"),
        ("fn say() { println!(\"{}\", 1); }", "println!"),
        ("fn say() { let quote = '\"'; eprintln!(\"{quote}\"); }", "eprintln!"),
        ("/* none of it */ use notify::Watcher;", "notify::"),
        ("#[cfg(test)]\nmod tests { fn f() {} }\nuse rusqlite::Connection;", "rusqlite"),
        ("fn f<'a>(x: &'a str) -> std::process::Command { g(x) }", "std::process"),
        ("use std::io::Write;", "std::io"),
        ("use crate::fit::clipped;", "crate::fit"),
        ("fn zone() -> TimeZone { TimeZone::system() }", "TimeZone::system"),
        ("fn now() -> Zoned { Zoned::now() }", "Zoned::now"),
        ("fn now() -> jiff::ZonedDateTime { jiff::ZonedDateTime::now() }", "ZonedDateTime::now"),
    ];
    let forbidden: Vec<&str> = FORBIDDEN.into_iter().chain(CLOCKS).collect();
    for (source, word) in bad {
        assert_eq!(mentions(source, &forbidden), [word], "{source}");
    }
}

#[test]
fn the_check_leaves_alone_what_is_no_code() {
    let forbidden: Vec<&str> = FORBIDDEN.into_iter().chain(CLOCKS).collect();
    let fine = [
        "// tokio and println! are not for the core",
        "/// Never calls `Instant::now`.\nfn f() {}",
        "/* std::fs /* nested */ std::env */",
        "const A: &str = \"use std::fs;\";",
        "const A: &str = r#\"a \"quoted\" std::fs\"#;",
        "const A: char = '\"'; // tokio \"",
        "#[cfg(test)]\nmod tests {\n    use std::fs;\n    fn f() { if true { println!(\"}\"); } }\n}\n",
        "#[cfg(test)]\nuse std::env;",
        "use super::notice::Notice;\nmod tokio_like;",
        "use crate::{alarms::Alarm, clocks::Clocks};",
    ];
    for source in fine {
        assert_eq!(mentions(source, &forbidden), Vec::<&str>::new(), "{source}");
    }
}

//! The watch without a screen, as the real program: its channels, its faults, its successor.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "a panic is the failing test")]

mod broker;
mod clock;
mod command;
#[path = "../commands/home.rs"]
#[allow(dead_code, reason = "shared with the tests of the commands")]
mod home;
mod hostile;
mod lease;
mod notebook;
mod post;
mod sound;
mod sources;
mod watch;

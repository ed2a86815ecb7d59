//! The watch without a screen, as the real program: its channels, its faults, its successor.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a panic is the failing test")]
#![allow(clippy::disallowed_methods, reason = "these tests measure real delays")]

mod broker;
mod clock;
mod command;
#[path = "../commands/home.rs"]
mod home;
mod hostile;
mod lease;
mod notebook;
mod post;
mod sound;
mod sources;
mod stay_awake;
mod watch;

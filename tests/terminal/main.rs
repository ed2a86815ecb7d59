//! The real program in a real terminal, from the first picture to the last byte: what the keys do, what the terminal is
//! left like, and what becomes of it all when something outside goes wrong.
#![cfg(target_os = "linux")]
#![allow(clippy::disallowed_methods, reason = "these tests wait for another program, and measure it")]
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a helper that cannot go on fails its test")]

mod alarms;
mod bench;
mod colours;
mod end;
mod forms;
mod frames;
mod home;
mod life;
mod piece;
mod pty;
mod rehearsal;
mod size;
mod stop;
mod vanish;

//! The real program as a command: its words, its files, its exit codes. No terminal, no network, folders of its own.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

mod ack;
mod bad_profile;
mod clocks;
mod csv;
mod heat;
mod home;
mod json;
mod learn;
mod night;
mod own_profile;
mod pieces;
mod pipe;
mod plan;
mod pour;
mod remarks;
mod sheet;
mod unreadable;

//! The command line: one file a command, and what they share.

pub mod layout;
pub mod problems;

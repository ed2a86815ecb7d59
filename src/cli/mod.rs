//! The command line: one file a command, and what they share.

mod ack;
pub mod age;
mod alarm_check;
mod clocks;
mod done;
mod figure;
mod heat;
mod json;
mod learn;
mod length;
mod level;
mod look;
mod mix;
mod night;
mod notebook;
mod page;
mod piece_file;
mod plan;
mod pour;
pub mod problems;
pub mod profiles;
mod program;
mod rehearse;
mod screen;
mod seen;
mod settings;
mod shared;
mod start;
mod table;
mod temp;
mod tick;
mod tonight;
mod undo;
mod vigil;
mod whole_file;
pub mod words;

pub use program::main;

use std::process::ExitCode;

/// How a command ended that could do its work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Finish {
    Fine,
    /// It found something wrong and said so.
    Problems,
}

impl From<Finish> for ExitCode {
    fn from(finish: Finish) -> Self {
        match finish {
            Finish::Fine => ExitCode::SUCCESS,
            Finish::Problems => ExitCode::FAILURE,
        }
    }
}

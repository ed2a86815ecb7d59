//! Rehearsal: a night's events from a file, played onto a throwaway notebook at any speed.

mod headless;
mod read;
mod script;

pub use headless::{Line, play};
pub use read::read_script;
pub use script::{Script, Step};

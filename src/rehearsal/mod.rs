//! Rehearsal: a night's events from a file, played onto a throwaway notebook at any speed.

mod demo;
mod headless;
mod piece;
mod read;
mod script;

pub use demo::demo;
pub use headless::{Line, play};
pub use read::read_script;
pub use script::{Script, Step};

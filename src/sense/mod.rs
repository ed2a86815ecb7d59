//! Where bench readings come from.

mod dialect;
mod gate;
mod lines;
pub mod logger_file;
mod sample;
mod sources;
mod topics;

pub(crate) use dialect::Dialect;
pub use gate::{Gatekeeper, Verdict};
pub(crate) use lines::{Lines, OpenQuote};
pub use sample::{NoReading, Sample};
pub use sources::{Sampled, Sources, read_once};

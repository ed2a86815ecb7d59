//! Where bench readings come from.

mod dialect;
mod lines;
pub mod logger_file;

pub(crate) use dialect::Dialect;
pub(crate) use lines::{Lines, OpenQuote};

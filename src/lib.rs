//! Nightpour: clocks for layered resin casting, from a temperature-adjusted cure model.
//!
//! `units strict material cure bench` are the pure core; everything else is a thin shell around it.

pub mod bench;
pub mod cli;
pub mod cure;
pub mod folders;
pub mod material;
pub mod strict;
pub mod text;
pub mod units;

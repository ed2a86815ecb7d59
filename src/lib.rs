//! Nightpour: clocks for layered resin casting, from a temperature-adjusted cure model.
//!
//! `units material cure bench` are the pure core; everything else is a thin shell around it.

pub mod bench;
pub mod cli;
pub mod clock;
pub mod cure;
pub mod material;
pub mod sense;
pub mod text;
pub mod units;
pub mod when;

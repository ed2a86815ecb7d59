//! Nightpour: clocks for layered resin casting, from a temperature-adjusted cure model.
//!
//! `units strict material cure heat pour night learn bench` are the pure core; everything else is a thin shell around it.

pub mod alarm;
pub mod bench;
mod broker;
pub mod cli;
pub mod clock;
pub mod cure;
pub mod fit;
pub mod folders;
pub mod heat;
pub mod learn;
mod limited;
pub mod look_file;
pub mod machine;
pub mod material;
pub mod mesh_file;
pub mod night;
pub mod notebook;
pub mod pour;
pub mod rehearsal;
pub mod report;
mod root;
pub mod sense;
pub mod session;
pub mod settings;
pub mod strict;
pub mod text;
pub mod tui;
pub mod units;
pub mod vigil;
pub mod when;

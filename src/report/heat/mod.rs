//! How hot it gets, in tables, words and drawings.

mod cells;
mod curves;
mod grid;
mod notes;
#[cfg(test)]
mod testing;
mod verdict;

pub use cells::{hours_words, peak_table, stage_table};
pub use curves::{curves, degree_ticks, hour_ticks};
pub use grid::{SweepChart, grid};
pub use notes::{NOT_RESOLVED, heat_items, heat_notes, hottest_words};
pub use verdict::{PeakBand, Shade, Verdict};

use crate::pour::PieceHeat;

/// How pages colour the drawings; the variables in it are the page's.
pub const STYLE: &str = include_str!("heat.css");

/// What is said of the heat on a sheet.
#[derive(Debug, Clone)]
pub struct HowHot {
    pub piece: PieceHeat,
    /// Only of a catalysed material.
    pub doses: Option<SweepChart>,
}

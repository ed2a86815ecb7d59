//! What is said of a piece that has been worked out, and the sheet for the bench.
//!
//! [`pour`](crate::pour) has the figures; here they are put in order and into words, once, for the page and for the
//! terminal alike. [`sheet`] is the page, [`section`] its drawing.

mod beds;
mod calendar;
mod cup;
mod doses;
mod figures;
mod groups;
mod head;
mod heat;
mod layers;
mod learned;
mod master;
pub mod night;
mod notes;
mod opacity;
mod section;
mod sheet;
mod sources;
mod totals;
mod warnings;
mod weighed;

pub use beds::{beds, laid_in};
pub use calendar::{CalendarAsk, calendar};
pub use cup::Cup;
pub use doses::{doses, reasons};
pub use head::head;
pub use heat::{
    HowHot, NOT_RESOLVED, PeakBand, Shade as HeatShade, SweepChart, Verdict, degree_ticks, heat_items, heat_notes,
    hottest_words, hour_ticks, hours_words, peak_table, stage_table,
};
pub use layers::{Column, Table, table};
pub use learned::{LearnedPicture, learned_pictures};
pub use master::{Master, master};
pub use notes::notes;
pub use opacity::{Shade, opacity};
pub use section::{Band, Drawing, section};
pub use sheet::sheet;
pub use sources::sources;
pub use totals::totals;
pub use warnings::warnings;
pub use weighed::weighed;

use crate::material::{Origin, Profile};
use crate::pour::{Piece, Plan};

/// Said at the end of everything.
pub const ESTIMATE: &str = "Every figure here is an estimate. The label and a trial cup come first.";

/// Where the bench temperature comes from that the plan was made for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BenchFrom {
    /// Asked for with the command.
    Asked,
    /// Written in the piece.
    Piece,
    /// Nobody said; the temperature for which the material's times hold.
    Profile,
    /// Nobody said, and the material has none either.
    Room,
}

/// A piece, what it is made of, and its plan.
#[derive(Debug, Clone, Copy)]
pub struct Report<'a> {
    pub piece: &'a Piece,
    pub profile: &'a Profile,
    pub origin: &'a Origin,
    pub plan: &'a Plan,
    pub bench_from: BenchFrom,
}

/// One thing said: what it is about, and the words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    pub about: String,
    pub words: String,
}

impl Said {
    fn new(about: impl Into<String>, words: impl Into<String>) -> Self {
        Self { about: about.into(), words: words.into() }
    }
}

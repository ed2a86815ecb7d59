//! Where a thermometer is. Only what measures the bench drives the clocks.

use crate::text::PlainText;
use serde::{Deserialize, Serialize};

/// Where a source of readings measures, by its name: 'resin' and 'outdoors', in whatever case, are what they say; any other
/// name is the bench.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Place {
    Bench,
    /// A probe in the resin: held against what was predicted.
    Resin,
    Outdoors,
}

impl Place {
    pub const ALL: [Place; 3] = [Place::Bench, Place::Resin, Place::Outdoors];

    pub const fn name(self) -> &'static str {
        match self {
            Place::Bench => "bench",
            Place::Resin => "resin",
            Place::Outdoors => "outdoors",
        }
    }

    /// Where the source called `source` measures.
    pub fn of(source: &PlainText) -> Self {
        let named = |place: &Place| source.as_str().eq_ignore_ascii_case(place.name());
        [Place::Resin, Place::Outdoors].into_iter().find(named).unwrap_or(Place::Bench)
    }
}

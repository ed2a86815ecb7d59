//! Whether a pile stays cool enough, followed no longer than it takes to know.

use super::{Pile, Track};
use crate::material::Stage;

/// Highest temperatures, °C: what they were, or what they may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Peaks {
    /// Of the layers, from below up.
    pub layers: Vec<f64>,
    /// Of the watched places, in their order; minus infinity before resin reached one.
    pub items: Vec<f64>,
}

impl Peaks {
    /// Whether none of them is over that of `most`; what `most` does not have may be as hot as it likes.
    pub fn are_within(&self, most: &Peaks) -> bool {
        let within = |a: &[f64], b: &[f64]| a.iter().zip(b).all(|(a, b)| a <= b);
        within(&self.layers, &most.layers) && within(&self.items, &most.items)
    }

    /// The lowest of all; infinite where there is none.
    pub fn lowest_c(&self) -> f64 {
        self.layers.iter().chain(&self.items).copied().fold(f64::INFINITY, f64::min)
    }
}

impl Pile {
    /// How hot everything got so far. A layer that could not be followed counts as hotter than any limit.
    pub fn peaks(&self) -> Peaks {
        let items = self.peaks.iter().map(|peak| peak.map_or(f64::NEG_INFINITY, |peak| peak.peak_c));
        let layers = self.tracks.iter().map(Track::careful_peak_c);
        Peaks { layers: layers.collect(), items: items.collect() }
    }

    /// When the last layer reached `stage`; `None` where it has not.
    pub fn reached_h(&self, stage: Stage) -> Option<f64> {
        self.tracks.last()?.reached_h(stage)
    }

    /// Follows it until something got hotter than `most`, or nothing can any more, but not past `at_most_h`; whether all of
    /// it stayed within.
    pub fn runs_within(&mut self, most: &Peaks, at_most_h: f64) -> bool {
        let lowest_c = most.lowest_c();
        loop {
            if !self.peaks().are_within(most) {
                return false;
            }
            if !self.goes_on_above(lowest_c, at_most_h) {
                return true;
            }
            self.advance(at_most_h);
        }
    }

    /// Follows it until nothing is hotter than `c` or can get so, but not past `at_most_h`: higher peaks are all over then.
    pub fn run_until_below(&mut self, c: f64, at_most_h: f64) {
        while self.goes_on_above(c, at_most_h) {
            self.advance(at_most_h);
        }
    }

    /// Follows it until no cell can get hotter than the hottest was, but not past `at_most_h`: for who asks for the peak
    /// alone.
    pub fn run_past_peak(&mut self, at_most_h: f64) {
        let peak_c = |pile: &Self| pile.tracks.iter().map(Track::peak_c).fold(f64::NEG_INFINITY, f64::max);
        while self.goes_on_above(peak_c(self), at_most_h) {
            self.advance(at_most_h);
        }
    }

    fn goes_on_above(&self, c: f64, at_most_h: f64) -> bool {
        self.now_h < at_most_h && self.hottest_still_c() >= c && !self.is_calm()
    }
}

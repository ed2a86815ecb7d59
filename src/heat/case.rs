//! A bare case of conduction and reaction, to be held against published and reference solutions.

mod read;

use super::cubic::Cubic;
use super::hollow::Hollow;
use super::kinetics::Resin;
use super::pile::{Fineness, ItemWatch, LayerPour, Pile};
use super::surroundings::{Face, Surroundings};
use crate::cure::TemperatureCurve;
use crate::root::rising_root;
use crate::units::{Celsius, Millimetres};

pub use read::read_case;

/// A slab between two faces.
#[derive(Debug, Clone, PartialEq)]
pub struct Case {
    pub resin: Resin,
    pub thickness: Millimetres,
    pub h_top_w_per_m2k: f64,
    pub h_bottom_w_per_m2k: f64,
    pub ambient: Celsius,
    pub start: Celsius,
    /// How long it is followed.
    pub until_s: f64,
}

/// What comes out of it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CaseAnswer {
    pub centre_peak_c: f64,
    pub centre_peak_s: f64,
    pub top_face_peak_c: f64,
    /// `None` where the centre does not get half way within the time.
    pub t_half_centre_s: Option<f64>,
    pub resolved: bool,
    /// How far two grids, one twice as fine as the other, differ in the peak.
    pub grid_error_c: f64,
    /// Heat that is unaccounted for, as a share of what the reaction gave.
    pub energy_error: f64,
}

/// What one run on one grid gives.
struct Run {
    peak_c: f64,
    peak_s: f64,
    top_peak_c: f64,
    t_half_s: Option<f64>,
    resolved: bool,
    energy_error: f64,
}

impl Case {
    /// Solves it on two grids, the second three times as fine, and takes what both say to a grid without end (Richardson:
    /// the error goes with the square of the cell).
    pub fn answer(&self) -> CaseAnswer {
        let coarse = self.run(Fineness { cells: Fineness::FINE.cells / 3, ..Fineness::FINE });
        let fine = self.run(Fineness::FINE);
        let to_the_limit = |coarse: f64, fine: f64| fine + (fine - coarse) / 8.0;
        CaseAnswer {
            centre_peak_c: to_the_limit(coarse.peak_c, fine.peak_c),
            centre_peak_s: to_the_limit(coarse.peak_s, fine.peak_s),
            top_face_peak_c: to_the_limit(coarse.top_peak_c, fine.top_peak_c),
            t_half_centre_s: coarse.t_half_s.zip(fine.t_half_s).map(|(coarse, fine)| to_the_limit(coarse, fine)),
            resolved: fine.resolved,
            grid_error_c: (fine.peak_c - coarse.peak_c).abs() / 8.0,
            energy_error: fine.energy_error,
        }
    }

    fn run(&self, fineness: Fineness) -> Run {
        let face = |h| Face { convection_w_per_m2k: h, emissivity: 0.0 };
        let around = Surroundings {
            top: face(self.h_top_w_per_m2k),
            below: face(self.h_bottom_w_per_m2k),
            base: None,
            side: face(0.0),
            side_wall: None,
        };
        let thickness_m = self.thickness.get() / 1000.0;
        let centre_m = thickness_m / 2.0;
        let centre = ItemWatch { from_m: centre_m, to_m: centre_m };
        let bench = TemperatureCurve::constant(self.ambient);
        let mut pile = Pile::new(Hollow::slab(self.thickness), around, bench, 0.0, vec![centre]).with(fineness);
        let start_c = self.start.get();
        pile.pour(LayerPour { to_m: thickness_m, resin: self.resin, start_c, clocks: Vec::new() });
        let until_h = self.until_s / 3600.0;
        let mut t_half_s = None;
        while pile.now_h() < until_h {
            let (from_h, before) = (pile.now_h(), pile.at_level(centre_m));
            pile.advance(until_h);
            if t_half_s.is_none() {
                t_half_s = half_way([from_h, pile.now_h()].map(|h| h * 3600.0), [before, pile.at_level(centre_m)]);
            }
        }
        let peak = pile.items()[0];
        Run {
            peak_c: peak.map_or(start_c, |peak| peak.peak_c),
            peak_s: peak.map_or(0.0, |peak| peak.at_h * 3600.0),
            top_peak_c: pile.top_peak_c(),
            t_half_s,
            resolved: pile.layers().iter().all(|layer| layer.resolved),
            energy_error: pile.energy_error(),
        }
    }
}

/// When half has reacted within a step, s: by the cubic through both ends with their slopes.
fn half_way(ends_s: [f64; 2], [before, after]: [(f64, f64); 2]) -> Option<f64> {
    if before.0 >= 0.5 || after.0 < 0.5 {
        return None;
    }
    let seconds = ends_s[1] - ends_s[0];
    let cubic = Cubic::new([before.0, after.0], [before.1 * seconds, after.1 * seconds]);
    let share = rising_root(0.0, 1.0, 1e-14, |share| cubic.at(share) - 0.5);
    Some(ends_s[0] + share * seconds)
}

#[cfg(test)]
mod tests;

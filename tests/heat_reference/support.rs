//! Slabs between two faces, as textbooks have them.

pub use crate::reacting_resin::reacting;

use nightpour::cure::TemperatureCurve;
use nightpour::heat::{Case, Face, Fineness, Hollow, ItemWatch, Kinetics, LayerPour, Pile, Resin, Surroundings};
use nightpour::units::{Celsius, Millimetres};

/// One place in the middle of the slab.
const CENTRE: usize = 0;

pub fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

pub fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

#[track_caller]
pub fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} ± {tolerance}");
}

/// To this share.
#[track_caller]
pub fn near(got: f64, want: f64, share: f64) {
    assert!((got / want - 1.0).abs() <= share, "got {got}, want {want} within {share} of it");
}

/// The resin of the reacting slabs, with a reaction that never begins.
pub fn inert() -> Resin {
    let resin = reacting();
    Resin { kinetics: Kinetics { k1_per_s: 0.0, k2_per_s: 0.0, ..resin.kinetics }, ..resin }
}

/// The reacting slab in a room of 25 °C, 10 W/m²K at both faces.
pub fn case(thickness_mm: f64) -> Case {
    Case {
        resin: reacting(),
        thickness: mm(thickness_mm),
        h_top_w_per_m2k: 10.0,
        h_bottom_w_per_m2k: 10.0,
        ambient: c(25.0),
        start: c(25.0),
        until_s: 30_000.0,
    }
}

/// Nothing but convection at both faces: no base, no wall, no radiation.
pub fn bare(h_w_per_m2k: f64) -> Surroundings {
    let face = Face { convection_w_per_m2k: h_w_per_m2k, emissivity: 0.0 };
    Surroundings { top: face, below: face, base: None, side: face, side_wall: None }
}

/// A slab with one temperature all through at the hour 0, watched in the middle.
pub struct Slab {
    pub pile: Pile,
}

impl Slab {
    pub fn new(
        resin: Resin,
        thickness_mm: f64,
        start_c: f64,
        room_c: f64,
        h_w_per_m2k: f64,
        fineness: Fineness,
    ) -> Self {
        let to_m = thickness_mm / 1000.0;
        let centre = ItemWatch { from_m: to_m / 2.0, to_m: to_m / 2.0 };
        let room = TemperatureCurve::constant(c(room_c));
        let hollow = Hollow::slab(mm(thickness_mm));
        let mut pile = Pile::new(hollow, bare(h_w_per_m2k), room, 0.0, vec![centre]).with(fineness);
        pile.pour(LayerPour { to_m, resin, start_c, clocks: Vec::new() });
        Self { pile }
    }

    /// The hottest its middle has been until `at_s`: what it is then, as long as it grows warmer.
    pub fn centre_c(&mut self, at_s: f64) -> f64 {
        self.pile.run_until(at_s / 3600.0);
        self.pile.items()[CENTRE].unwrap().peak_c
    }
}

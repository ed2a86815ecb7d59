//! Our half of `heat_beside_scipy.py`: a reacting slab, followed more and more finely, one line of JSON for each run.

#![allow(clippy::unwrap_used, reason = "a bench stops at the first surprise")]
#![allow(clippy::disallowed_methods, reason = "it measures how long a run takes")]

#[path = "../tests/support/reacting_resin.rs"]
mod reacting_resin;

use nightpour::cure::TemperatureCurve;
use nightpour::heat::{Face, Fineness, Hollow, ItemWatch, LayerPour, Pile, Surroundings};
use nightpour::units::{Celsius, Millimetres};
use reacting_resin::reacting;
use serde_json::json;
use std::time::Instant;

const CELLS: [u32; 4] = [10, 27, 81, 243];
const KELVIN: [f64; 4] = [0.05, 1e-3, 3e-5, 2e-6];
const UNTIL_H: f64 = 30_000.0 / 3600.0;
/// The shortest of so many is told, as a busy machine makes only longer ones.
const RUNS: usize = 21;

fn main() {
    for thickness_mm in [10.0, 20.0] {
        for cells in CELLS {
            for kelvin in KELVIN {
                run(thickness_mm, Fineness { cells, kelvin });
            }
        }
    }
}

fn run(thickness_mm: f64, fineness: Fineness) {
    let mut seconds = f64::INFINITY;
    let mut pile = slab(thickness_mm, fineness);
    for _ in 0..RUNS {
        pile = slab(thickness_mm, fineness);
        let start = Instant::now();
        pile.run_until(UNTIL_H);
        seconds = seconds.min(start.elapsed().as_secs_f64());
    }
    let line = json!({
        "thickness_mm": thickness_mm,
        "cells": fineness.cells,
        "tolerance_c": fineness.kelvin,
        "seconds": seconds,
        "centre_peak_c": pile.items()[0].unwrap().peak_c,
        "top_face_peak_c": pile.top_peak_c(),
    });
    println!("{line}");
}

/// The slab of the reference rows: invented resin, 25 °C, 10 W/m²K at both faces.
fn slab(thickness_mm: f64, fineness: Fineness) -> Pile {
    let room = Celsius::new(25.0).unwrap();
    let face = Face { convection_w_per_m2k: 10.0, emissivity: 0.0 };
    let around = Surroundings { top: face, below: face, base: None, side: face, side_wall: None };
    let to_m = thickness_mm / 1000.0;
    let centre = ItemWatch { from_m: to_m / 2.0, to_m: to_m / 2.0 };
    let hollow = Hollow::slab(Millimetres::new(thickness_mm).unwrap());
    let mut pile = Pile::new(hollow, around, TemperatureCurve::constant(room), 0.0, vec![centre]).with(fineness);
    pile.pour(LayerPour { to_m, resin: reacting(), start_c: room.get(), clocks: Vec::new() });
    pile
}

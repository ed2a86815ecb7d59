//! How fast the error falls with the cell and with the step: second order in both, on a slab that warms smoothly.

use crate::support::{Slab, case, close, reacting};
use nightpour::heat::Fineness;
use std::ops::RangeInclusive;

const THICKNESS_MM: f64 = 6.0;

/// Shortly before the peak at 11 547 s, where all that went before counts.
const WARMING_S: f64 = 10_800.0;

/// Holds the order, ln of how many times smaller an error is than the one before over ln of how many times `finer` its cells
/// or steps are, to `range`.
#[track_caller]
fn second_order<const N: usize>(what: &str, errors_c: [f64; N], finer: f64, range: RangeInclusive<f64>) {
    let order = |[coarse, fine]: &[f64; 2]| (coarse / fine).abs().ln() / finer.ln();
    let orders: Vec<f64> = errors_c.array_windows().map(order).collect();
    println!("{what}: orders {orders:.4?}, errors in °C {errors_c:.9?}");
    assert!(orders.iter().all(|order| range.contains(order)), "{what}: {orders:?}");
}

fn centre_c(cells: u32, kelvin: f64) -> f64 {
    let mut slab = Slab::new(reacting(), THICKNESS_MM, 25.0, 25.0, 10.0, Fineness { cells, kelvin });
    slab.centre_c(WARMING_S)
}

#[test]
fn second_order_in_space() {
    let [eighty_one, fine] = [81, 405].map(|cells| centre_c(cells, 1e-6));
    // What the two finest say to a grid without end: the squares of their cells are 1 to 25.
    let limit = fine + (fine - eighty_one) / 24.0;
    second_order("in space", [9, 27, 81].map(|cells| centre_c(cells, 1e-6) - limit), 3.0, 1.9..=2.1);
}

/// With a tolerance that lets everything pass, a step is as long as the run it is asked for, but for the first few, which
/// grow from two seconds on.
fn centre_by_steps_c(step_s: f64) -> f64 {
    let mut slab = Slab::new(reacting(), THICKNESS_MM, 25.0, 25.0, 10.0, Fineness { cells: 27, kelvin: 1e9 });
    let mut at_s = 0.0;
    while at_s < WARMING_S - step_s / 2.0 {
        at_s += step_s;
        slab.pile.run_until(at_s / 3600.0);
    }
    slab.centre_c(WARMING_S)
}

#[test]
fn second_order_in_time() {
    let [coarser, finer] = [20.0, 10.0].map(centre_by_steps_c);
    // What the two shortest say to steps without length.
    let limit = finer + (finer - coarser) / 3.0;
    let errors_c = [400.0, 200.0, 100.0, 50.0].map(|step_s| centre_by_steps_c(step_s) - limit);
    second_order("in time", errors_c, 2.0, 1.8..=2.2);
}

#[test]
fn a_finer_grid_comes_to_the_same() {
    // The answer of a case is of two grids; it must lie within what it says of its own error of a third, finer one.
    let answer = case(THICKNESS_MM).answer();
    let mut slab = Slab::new(reacting(), THICKNESS_MM, 25.0, 25.0, 10.0, Fineness { cells: 243, kelvin: 2e-6 });
    close(slab.centre_c(20_000.0), answer.centre_peak_c, answer.grid_error_c.max(1e-4));
}

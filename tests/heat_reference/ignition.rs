//! Where a slab runs away: Frank-Kamenetskii with faces that are held or let heat through, and Semenov, where the slab is
//! as warm all through.
//!
//! With a q10 the rate is an exponential of the temperature, which is the approximation these theories make. Nothing is
//! used up: a huge heat that is given off next to not at all. δ = (d ln r/dT) · q · L² / k, with q the heat source at the
//! temperature of the room and L half the thickness.

use crate::support::{Slab, c, close, near};
use nightpour::cure::RateLaw;
use nightpour::heat::{Fineness, Kinetics, Resin};
use nightpour::units::Q10;

/// Degrees that change the rate e-fold.
const E_FOLD_C: f64 = 150.0;
const ROOM_C: f64 = 20.0;
const HALF_M: f64 = 0.005;
const CONDUCTIVITY: f64 = 0.2;
const DENSITY: f64 = 1000.0;
const SPECIFIC_HEAT: f64 = 1000.0;
const CROSSING_S: f64 = HALF_M * HALF_M * DENSITY * SPECIFIC_HEAT / CONDUCTIVITY;
const K1_PER_S: f64 = 1e-12;

/// The slab is followed for this many times the time it needs to warm or cool; one 0.1 % over its limit takes about 60.
const LONG: f64 = 300.0;
/// Warmer than this many e-folds there is no steady state a slab could come back to: the last one has 1.19 in its middle.
const GONE: f64 = 3.0;
const FINENESS: Fineness = Fineness { cells: 27, kelvin: 0.02 };

fn runs_away(delta: f64, biot: f64) -> bool {
    let source_w_per_m3 = delta * CONDUCTIVITY * E_FOLD_C / (HALF_M * HALF_M);
    let resin = Resin {
        density_kg_per_m3: DENSITY,
        specific_heat_j_per_kgk: SPECIFIC_HEAT,
        conductivity_w_per_mk: CONDUCTIVITY,
        kinetics: Kinetics {
            k1_per_s: K1_PER_S,
            k2_per_s: 0.0,
            heat_j_per_kg: source_w_per_m3 / DENSITY / K1_PER_S,
            law: RateLaw::Q10(Q10::new((10.0 / E_FOLD_C).exp()).unwrap()),
            reference: c(ROOM_C),
            limit: None,
        },
    };
    let mut slab = Slab::new(resin, 2000.0 * HALF_M, ROOM_C, ROOM_C, biot * CONDUCTIVITY / HALF_M, FINENESS);
    let turn_s = CROSSING_S * (1.0 / biot).max(1.0);
    let (mut at_s, mut e_folds) = (0.0, 0.0f64);
    while at_s < LONG * turn_s && e_folds < GONE {
        // The warmer, the sooner it is gone: not far beyond that.
        at_s += 0.5 * turn_s * (-e_folds).exp();
        e_folds = (slab.centre_c(at_s) - ROOM_C) / E_FOLD_C;
    }
    e_folds >= GONE
}

/// The δ at which our slab begins to run away, by bisection to 0.1 %.
fn critical(biot: f64, about: f64) -> f64 {
    let (mut quiet, mut wild) = (0.7 * about, 1.3 * about);
    assert!(!runs_away(quiet, biot) && runs_away(wild, biot), "Bi {biot}: not between {quiet} and {wild}");
    while wild - quiet > 1e-3 * about {
        let middle = f64::midpoint(quiet, wild);
        *(if runs_away(middle, biot) { &mut wild } else { &mut quiet }) = middle;
    }
    f64::midpoint(quiet, wild)
}

/// The largest δ with a steady state, from the closed form of a slab: with 2 s tanh s for the slope at the face,
/// θ(0) = 2 ln cosh s + 2 s tanh s / Bi and δ = 2 s² exp(−θ(0)).
fn closed_form(biot: f64) -> f64 {
    let delta = |s: f64| {
        let middle = 2.0 * s.cosh().ln() + 2.0 * s * s.tanh() / biot;
        2.0 * s * s * (-middle).exp()
    };
    (1..200_000).map(|step| delta(f64::from(step) * 1e-5)).fold(0.0, f64::max)
}

#[test]
fn a_slab_with_its_faces_held() {
    // Frank-Kamenetskii: δ = 0.878 (textbook).
    let held = 1e6;
    close(closed_form(held), 0.878, 5e-4);
    let found = critical(held, 0.878);
    println!("faces held: δ {found:.5}, theory 0.878");
    near(found, 0.878, 0.005);
}

#[test]
fn slabs_with_faces_that_let_heat_through() {
    // Computed with scipy, an independent calculation; the closed form gives the same.
    for (biot, want) in [(0.25, 0.084_742), (1.0, 0.270_671), (10.0, 0.728_976)] {
        close(closed_form(biot), want, 2e-6);
        let found = critical(biot, want);
        println!("Bi {biot}: δ {found:.5}, theory {want}");
        near(found, want, 0.005);
    }
}

#[test]
fn a_slab_as_warm_all_through() {
    // Semenov: heat given off in the whole slab against what leaves through its faces, δ/Bi → 1/e (textbook).
    let biot = 0.01;
    let found = critical(biot, biot * (-1.0f64).exp()) / biot;
    println!("Bi {biot}: δ/Bi {found:.5}, theory {:.5}", (-1.0f64).exp());
    near(found, (-1.0f64).exp(), 0.02);
}

//! Conversion with time, and where a network gels.

use crate::support::{close, near, reacting};
use nightpour::heat::Kinetics;
use nightpour::material::{Catalogue, ThermalCure};
use proptest::prelude::*;

fn kinetics(k1_per_s: f64, k2_per_s: f64) -> Kinetics {
    Kinetics { k1_per_s, k2_per_s, ..reacting().kinetics }
}

/// dα/dt = (k1 + k2 α)(1 − α) from 0 by the classic Runge-Kutta method.
fn integrated(k: &Kinetics, until_s: f64) -> f64 {
    let rate = |alpha: f64| (k.k1_per_s + k.k2_per_s * alpha) * (1.0 - alpha);
    let steps = 20_000;
    let h = until_s / f64::from(steps);
    (0..steps).fold(0.0, |alpha, _| {
        let first = rate(alpha);
        let second = rate(alpha + h / 2.0 * first);
        let third = rate(alpha + h / 2.0 * second);
        let fourth = rate(alpha + h * third);
        alpha + h / 6.0 * (first + 2.0 * (second + third) + fourth)
    })
}

#[test]
fn the_closed_form_is_what_the_rate_integrates_to() {
    for (k1, k2) in [(1e-5, 2e-4), (3e-4, 0.0), (1e-4, 1e-4), (1e-7, 4e-3), (2e-3, 1e-5)] {
        let kinetics = kinetics(k1, k2);
        for share in [0.001, 0.1, 0.5, 0.9, 0.999] {
            let age_s = kinetics.age_s(share);
            close(integrated(&kinetics, age_s), share, 1e-9);
        }
    }
}

proptest! {
    #[test]
    fn from_age_to_conversion_and_back(
        k1_exponent in -9.0..-1.0f64,
        ratio in prop_oneof![Just(0.0), 1e-3..1e6f64],
        conversion in 1e-6..0.9999f64,
    ) {
        let k1 = 10f64.powf(k1_exponent);
        let kinetics = kinetics(k1, ratio * k1);
        let there = kinetics.conversion(kinetics.age_s(conversion));
        prop_assert!((there - conversion).abs() < 1e-12 + 1e-9 * conversion, "{} for {}", there, conversion);
    }
}

#[test]
fn amine_epoxies_gel_where_flory_and_stockmayer_say() {
    // A diepoxide with as much of a diamine of four hydrogens: α = 1/√((f − 1)(g − 1)) = 1/√3 with f 2 and g 4
    // (Flory and Stockmayer; the formula from memory).
    let want = 1.0 / ((2.0 - 1.0) * (4.0 - 1.0_f64)).sqrt();
    let catalogue = Catalogue::embedded();
    for name in ["slow-epoxy", "deep-pour-epoxy", "coating-epoxy", "five-minute-epoxy"] {
        let cure: &ThermalCure = catalogue.find(name).unwrap().profile.thermal().unwrap();
        near(cure.heat.as_ref().unwrap().gel_conversion.value.get(), want, 1e-3);
    }
}

//! The heat of cure: a night of layers, one layer, a sweep over depth and dose, and what a profile costs before any of it.

#![allow(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

#[path = "../tests/support/reacting_resin.rs"]
mod reacting_resin;

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use nightpour::cure::TemperatureCurve;
use nightpour::heat::{
    Case, CupTest, Hollow, HollowPoint, LayerAsk, LayerPour, MaterialHeat, Pile, Surroundings, SweepCell, SweepGrid,
    calibrate,
};
use nightpour::material::{Catalogue, Profile, Stage};
use nightpour::units::{Celsius, Millimetres};
use reacting_resin::reacting;
use std::f64::consts::PI;

fn main() {
    divan::main();
}

const LAYERS: u32 = 12;
const LAYER_M: f64 = 0.01;
const RADIUS_M: f64 = 0.04;
const NIGHT_H: f64 = 24.0;
const SWEEP_STEPS: usize = 20;

fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

fn profile() -> Profile {
    Catalogue::embedded().find("clear-polyester").unwrap().profile.clone()
}

fn ten_millimetres() -> LayerAsk {
    LayerAsk { depth: Millimetres::new(10.0).unwrap(), dose: None, start: c(20.0) }
}

/// A beaker with its walls.
fn beaker(height_m: f64) -> Hollow {
    let volume_m3 = PI * RADIUS_M * RADIUS_M * height_m;
    let wall_m2 = 2.0 * PI * RADIUS_M * height_m;
    let brim = HollowPoint { level_m: height_m, volume_m3, wall_m2, resin_m3: volume_m3, items_j_per_k: 0.0 };
    Hollow::new(vec![HollowPoint::default(), brim]).unwrap()
}

/// Each layer on the one below as soon as that takes it, all of it followed to the end of the night.
#[divan::bench]
fn twelve_layers_over_a_day(bencher: Bencher<'_, '_>) {
    let heat = MaterialHeat::of(&profile()).unwrap();
    let hollow = beaker(f64::from(LAYERS) * LAYER_M);
    let bench = TemperatureCurve::constant(c(20.0));
    bencher.bench(|| {
        let mut pile = Pile::new(hollow.clone(), Surroundings::ON_THE_BENCH, bench.clone(), 0.0, Vec::new());
        for layer in 1..=LAYERS {
            let to_m = f64::from(layer) * LAYER_M;
            pile.pour(LayerPour { to_m, resin: heat.resin(None), start_c: 20.0, clocks: heat.clocks(None) });
            pile.run_until_stage(Stage::NextLayerOpens, NIGHT_H);
        }
        pile.run_until(NIGHT_H);
        let layers = pile.layers();
        assert_eq!(layers.len(), LAYERS as usize);
        layers
    });
}

#[divan::bench]
fn one_layer(bencher: Bencher<'_, '_>) {
    let heat = MaterialHeat::of(&profile()).unwrap();
    let bench = TemperatureCurve::constant(c(20.0));
    bencher.bench(|| heat.layer(black_box(&ten_millimetres()), &bench));
}

#[divan::bench]
fn one_peak(bencher: Bencher<'_, '_>) {
    let heat = MaterialHeat::of(&profile()).unwrap();
    let bench = TemperatureCurve::constant(c(20.0));
    bencher.bench(|| heat.layer_peak(black_box(&ten_millimetres()), &bench));
}

/// On one core.
#[divan::bench]
fn sweep_of_twenty_by_twenty(bencher: Bencher<'_, '_>) {
    let profile = profile();
    let heat = MaterialHeat::of(&profile).unwrap();
    let asks = SweepGrid::around(&profile, ten_millimetres(), SWEEP_STEPS).unwrap().asks();
    assert_eq!(asks.len(), SWEEP_STEPS * SWEEP_STEPS);
    bencher
        .counter(ItemsCount::new(asks.len()))
        .bench(|| asks.iter().map(|ask| SweepCell::of(&heat, *ask)).collect::<Vec<_>>());
}

#[divan::bench]
fn calibration(bencher: Bencher<'_, '_>) {
    let test = CupTest {
        mass_g: 100.0,
        start: c(25.0),
        gel_s: 18.0 * 60.0,
        peak_after_s: 45.0 * 60.0,
        peak: c(80.0),
        gel_conversion: 0.05,
    };
    bencher.bench(|| calibrate(black_box(&test), reacting()).unwrap());
}

#[divan::bench]
fn a_profile_made_ready(bencher: Bencher<'_, '_>) {
    let profile = profile();
    bencher.bench(|| MaterialHeat::of(black_box(&profile)).unwrap());
}

/// To a few ten-thousandths of a degree.
#[divan::bench]
fn a_case_of_ten_millimetres(bencher: Bencher<'_, '_>) {
    let case = Case {
        resin: reacting(),
        thickness: Millimetres::new(10.0).unwrap(),
        h_top_w_per_m2k: 10.0,
        h_bottom_w_per_m2k: 10.0,
        ambient: c(25.0),
        start: c(25.0),
        until_s: 30_000.0,
    };
    bencher.bench(|| black_box(&case).answer());
}

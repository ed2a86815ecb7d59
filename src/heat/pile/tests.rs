use super::*;
use crate::cure::{Knot, RateLaw};
use crate::heat::testing::{self, celsius};
use crate::heat::{Face, HollowPoint, Resin, Wall, WallMaterial};
use crate::units::{Millimetres, Q10};
use proptest::prelude::*;

/// An invented resin; `heat` in J/g.
fn resin(heat: f64) -> Resin {
    testing::resin(5e-4, heat * 1000.0)
}

/// A round vessel of 90 mm with a shell of 20 J/K between 5 and 15 mm.
fn jar() -> Hollow {
    let point = |mm: f64, items_j_per_k: f64| {
        let (radius_m, level_m) = (0.045, mm / 1000.0);
        let volume_m3 = std::f64::consts::PI * radius_m * radius_m * level_m;
        HollowPoint {
            level_m,
            volume_m3,
            wall_m2: 2.0 * std::f64::consts::PI * radius_m * level_m,
            resin_m3: volume_m3 - 1e-5 * items_j_per_k / 20.0,
            items_j_per_k,
        }
    };
    Hollow::new(vec![point(0.0, 0.0), point(5.0, 0.0), point(15.0, 20.0), point(60.0, 20.0)]).unwrap()
}

fn gel_clock(age_h: f64, at: SurfaceOf) -> StageClock {
    let law = RateLaw::Q10(Q10::new(2.0).unwrap());
    let rule = CureRule { law, reference: celsius(25.0), floor: None };
    StageClock { stage: Stage::Gel, rule, age_h, conversion: None, at }
}

fn layer(to_mm: f64, heat: f64) -> LayerPour {
    let clocks = vec![gel_clock(2.0, SurfaceOf::Slowest)];
    LayerPour { to_m: to_mm / 1000.0, resin: resin(heat), start_c: 20.0, clocks }
}

fn in_the_jar(bench: TemperatureCurve) -> Pile {
    Pile::new(jar(), Surroundings::ON_THE_BENCH, bench, 0.0, vec![ItemWatch { from_m: 0.005, to_m: 0.015 }])
}

fn room(c: f64) -> TemperatureCurve {
    TemperatureCurve::constant(celsius(c))
}

#[test]
fn energy_is_kept_through_layers_walls_items_and_recuts() {
    let mut pile = in_the_jar(room(20.0));
    let mut most = 0;
    for to_mm in [10.0, 20.0, 45.0] {
        pile.pour(LayerPour { start_c: 24.0, ..layer(to_mm, 250.0) });
        let until = pile.now_h() + 3.0;
        while pile.now_h() < until {
            pile.advance(until);
            most = most.max(pile.grid.cells.len());
        }
        assert!(pile.energy_error() < 1e-9, "{}", pile.energy_error());
    }
    assert!(most > 60, "the deep layer was cut finer: {most}");
    assert!(pile.layers().iter().all(|layer| layer.resolved));
}

#[test]
fn a_layer_that_gives_no_heat_keeps_the_plain_clock() {
    let mut pile = in_the_jar(room(15.0));
    pile.pour(LayerPour { start_c: 15.0, ..layer(10.0, 0.0) });
    pile.run_until_calm(48.0);
    // Two hours at 25 °C, a degree in ten: twice as long at 15.
    assert!((pile.layers()[0].stage_h(Stage::Gel).unwrap() - 4.0).abs() < 1e-9);
}

#[test]
fn its_own_heat_makes_a_stage_come_sooner_and_the_slowest_place_is_not_the_top() {
    let gel_h = |at| {
        let mut pile = in_the_jar(room(20.0));
        pile.pour(LayerPour { clocks: vec![gel_clock(2.0, at)], ..layer(12.0, 250.0) });
        pile.run_until_calm(48.0);
        pile.layers()[0].stage_h(Stage::Gel).unwrap()
    };
    let plain_h = 2.0 * 2f64.sqrt();
    assert!(gel_h(SurfaceOf::Slowest) < plain_h - 0.2);
    assert!(gel_h(SurfaceOf::Top) <= gel_h(SurfaceOf::Slowest));
}

#[test]
fn a_stage_is_waited_for_and_not_passed() {
    let mut pile = in_the_jar(room(20.0));
    pile.pour(layer(10.0, 250.0));
    assert!(pile.run_until_stage(Stage::Gel, 10.0));
    let reached = pile.layers()[0].stage_h(Stage::Gel).unwrap();
    assert!((0.0..0.01).contains(&(pile.now_h() - reached)), "{} {reached}", pile.now_h());
    let mut cold = in_the_jar(room(20.0));
    cold.pour(layer(10.0, 250.0));
    assert!(!cold.run_until_stage(Stage::Gel, 0.5), "not in half an hour");
    assert!((cold.now_h() - 0.5).abs() < 1e-12);
}

#[test]
fn a_warm_layer_below_makes_the_next_one_hotter() {
    let peak = |wait_h: f64| {
        let mut pile = in_the_jar(room(20.0));
        pile.pour(layer(10.0, 250.0));
        pile.run_until(wait_h);
        pile.pour(layer(20.0, 250.0));
        pile.run_until_calm(60.0);
        pile.layers()[1].peak_c
    };
    assert!(peak(1.5) > peak(24.0) + 1.0, "{} {}", peak(1.5), peak(24.0));
}

#[test]
fn a_wall_takes_heat_and_a_heavier_one_takes_more() {
    let peak = |material, thickness_m| {
        let wall = Some(Wall { material, thickness_m });
        let around = Surroundings { base: wall, side_wall: wall, ..Surroundings::ON_THE_BENCH };
        let mut pile = Pile::new(jar(), around, room(20.0), 0.0, Vec::new());
        pile.pour(layer(15.0, 250.0));
        pile.run_past_peak(24.0);
        pile.layers()[0].peak_c
    };
    let light = peak(WallMaterial::Polyethylene, 0.001);
    let [glass, wood] = [peak(WallMaterial::Glass, 0.01), peak(WallMaterial::Wood, 0.01)];
    assert!(glass < wood && wood < light + 1.0 && glass < light - 3.0, "{light} {glass} {wood}");
}

#[test]
fn an_item_sees_the_heat_of_the_layer_it_lies_in() {
    let mut pile = in_the_jar(room(20.0));
    assert_eq!(pile.items(), [None]);
    pile.pour(layer(20.0, 250.0));
    pile.run_until_calm(24.0);
    let (item, heat) = (pile.items()[0].unwrap(), &pile.layers()[0]);
    assert!(item.peak_c <= heat.peak_c + 1e-9 && item.peak_c > 30.0, "{item:?}");
}

#[test]
fn the_bench_is_followed_as_a_curve() {
    let knots = [(0.0, 20.0), (4.0, 20.0), (8.0, 10.0)].map(|(at_h, c)| Knot { at_h, celsius: celsius(c) });
    let mut pile = in_the_jar(TemperatureCurve::new(knots.to_vec()).unwrap());
    pile.pour(layer(10.0, 0.0));
    pile.run_until(30.0);
    assert!(pile.grid.state.t.iter().all(|t| (t - 10.0).abs() < 0.05), "{:?}", pile.grid.state.t);
}

#[test]
fn a_thick_slab_is_cut_where_the_front_is_and_resolved() {
    let mut pile = Pile::new(
        Hollow::slab(Millimetres::new(40.0).unwrap()),
        Surroundings { base: None, ..Surroundings::ON_THE_BENCH },
        room(25.0),
        0.0,
        Vec::new(),
    );
    pile.pour(LayerPour { start_c: 25.0, ..layer(40.0, 300.0) });
    let (mut thinnest_m, mut most) = (1.0_f64, 0);
    while pile.now_h() < 6.0 {
        pile.advance(6.0);
        thinnest_m = pile.grid.cells.iter().fold(thinnest_m, |least, cell| least.min(cell.depth_m()));
        most = most.max(pile.grid.cells.len());
    }
    assert!(thinnest_m < 5e-4, "{thinnest_m}");
    assert!(pile.grid.cells.len() < most, "cells become one again once it has passed");
    assert!(pile.layers()[0].resolved);
    let adiabatic = 25.0 + 300_000.0 / 1700.0;
    assert!(pile.layers()[0].peak_c > 0.8 * adiabatic);
}

#[test]
fn a_front_too_steep_for_the_finest_cut_is_told() {
    let mut fierce = resin(650.0);
    fierce.kinetics = fierce.kinetics.times(30.0);
    fierce.kinetics.law = RateLaw::Q10(Q10::new(20.0).unwrap());
    let mut pile = Pile::new(
        Hollow::slab(Millimetres::new(40.0).unwrap()),
        Surroundings::ON_THE_BENCH,
        room(25.0),
        0.0,
        Vec::new(),
    );
    pile.pour(LayerPour { to_m: 0.04, resin: fierce, start_c: 25.0, clocks: Vec::new() });
    pile.run_until(0.5);
    assert!(!pile.layers()[0].resolved);
}

#[test]
fn a_copy_goes_its_own_way() {
    let mut pile = in_the_jar(room(20.0));
    pile.pour(layer(10.0, 250.0));
    pile.run_until(1.0);
    let mut copy = pile.clone();
    copy.pour(layer(20.0, 250.0));
    copy.run_until(5.0);
    assert_eq!((pile.layers().len(), copy.layers().len()), (1, 2));
    assert!((pile.now_h() - 1.0).abs() < 1e-12);
}

#[test]
fn nothing_is_poured_below_what_is_there() {
    let mut pile = in_the_jar(room(20.0));
    pile.pour(layer(10.0, 250.0));
    pile.pour(layer(8.0, 250.0));
    assert_eq!(pile.layers().len(), 1);
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn whatever_is_poured_stays_within_what_can_be(
        depths in prop::collection::vec(2.0f64..14.0, 1..4),
        heat in 0.0f64..350.0,
        bench in 5.0f64..35.0,
        wait in 0.2f64..6.0,
    ) {
        let mut pile = in_the_jar(room(bench));
        let mut to_mm = 0.0;
        for depth in &depths {
            to_mm += depth;
            pile.pour(LayerPour { start_c: bench, ..layer(to_mm, heat) });
            pile.run_until(pile.now_h() + wait);
        }
        pile.run_until_calm(pile.now_h() + 200.0);
        prop_assert!(pile.energy_error() < 1e-6, "{}", pile.energy_error());
        // Resin that a front has warmed as far as it can adds its own heat to that: twice the rise where the front meets a
        // face, and somewhat more where the layer below had warmed it before.
        let adiabatic = bench + heat * 1000.0 / 1700.0;
        for layer in pile.layers() {
            prop_assert!(layer.peak_c >= bench - 1e-6 && layer.peak_c <= bench + 3.0 * (adiabatic - bench) + 0.01);
            prop_assert!(layer.trace.iter().all(|point| point.hottest_c <= layer.peak_c + 0.01));
        }
        prop_assert!(pile.grid.state.alpha.iter().all(|a| (-1e-6..=1.0 + 1e-6).contains(a)));
    }

    #[test]
    fn a_deeper_layer_is_hotter(depth in 3.0f64..30.0, more in 1.05f64..2.0, heat in 50.0f64..300.0) {
        let peak = |mm: f64| {
            let hollow = Hollow::slab(Millimetres::new(mm).unwrap());
            let mut pile = Pile::new(hollow, Surroundings::ON_THE_BENCH, room(20.0), 0.0, Vec::new());
            pile.pour(layer(mm, heat));
            pile.run_past_peak(100.0);
            pile.layers()[0].peak_c
        };
        prop_assert!(peak(depth * more) >= peak(depth) - 0.3);
    }
}

#[test]
fn an_insulated_pile_is_as_hot_as_its_heat_makes_it() {
    let closed = Face { convection_w_per_m2k: 0.0, emissivity: 0.0 };
    let around = Surroundings { top: closed, below: closed, base: None, side: closed, side_wall: None };
    let hollow = Hollow::slab(Millimetres::new(10.0).unwrap());
    let mut pile = Pile::new(hollow, around, room(25.0), 0.0, Vec::new());
    pile.pour(LayerPour { start_c: 25.0, ..layer(10.0, 300.0) });
    pile.run_until(30.0);
    assert!(pile.grid.state.t.iter().all(|t| (t - (25.0 + 300_000.0 / 1700.0)).abs() < 1e-3));
}

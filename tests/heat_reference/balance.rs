//! No heat comes from nowhere and none is lost: first principles.

use crate::support::{bare, c, case, near, reacting};
use nightpour::cure::{Knot, TemperatureCurve};
use nightpour::heat::{
    Case, Face, Fineness, Hollow, HollowPoint, Kinetics, LayerPour, Pile, Resin, Surroundings, Wall, WallMaterial,
};
use proptest::prelude::*;
use std::f64::consts::PI;

/// Unaccounted for, as a share of all heat that the reaction gave.
const KEPT: f64 = 1e-6;

#[test]
fn an_insulated_slab_keeps_the_heat_of_the_whole_reaction() {
    // It ends at start + H/c.
    for thickness_mm in [3.0, 10.0, 30.0] {
        let closed = Case { h_top_w_per_m2k: 0.0, h_bottom_w_per_m2k: 0.0, ..case(thickness_mm) };
        let answer = closed.answer();
        let want = 25.0 + 300e3 / 1700.0;
        near(answer.centre_peak_c, want, 1e-6);
        near(answer.centre_peak_c, 201.4706, 1e-6);
        near(answer.top_face_peak_c, want, 1e-6);
        assert!(answer.resolved && answer.energy_error < KEPT, "{answer:?}");
    }
}

#[test]
fn heat_is_kept_while_fronts_are_followed() {
    // From one that hardly warms to one whose front the grid has to chase.
    for thickness_mm in [3.0, 6.0, 10.0, 20.0, 50.0] {
        let answer = case(thickness_mm).answer();
        assert!(answer.energy_error < KEPT, "{thickness_mm} mm: {answer:?}");
    }
}

/// A round vessel, straight or widening, with a shell of 2 J/K in its lowest centimetre.
fn vessel(floor_m: f64, brim_m: f64, height_m: f64) -> Hollow {
    let slices = 12;
    let mut points = vec![HollowPoint::default()];
    for slice in 1..=slices {
        let level_m = height_m * f64::from(slice) / f64::from(slices);
        let here_m = floor_m + (brim_m - floor_m) * level_m / height_m;
        // Frustum: volume π h (R² + Rr + r²) / 3, side π (R + r) √((R − r)² + h²).
        let volume_m3 = PI * level_m * (floor_m * floor_m + floor_m * here_m + here_m * here_m) / 3.0;
        let wall_m2 = PI * (floor_m + here_m) * (here_m - floor_m).hypot(level_m);
        let items_j_per_k = 2.0 * (level_m / 0.01).min(1.0);
        points.push(HollowPoint { level_m, volume_m3, wall_m2, resin_m3: volume_m3 * 0.97, items_j_per_k });
    }
    Hollow::new(points).unwrap()
}

#[test]
fn a_vessel_whose_walls_hold_no_heat_keeps_all_of_it() {
    // Cold resin in a warm room; the side is insulated, or loses heat without a wall's mass to warm.
    for h_w_per_m2k in [0.0, 10.0] {
        let mut pile = Pile::new(vessel(0.02, 0.03, 0.03), bare(h_w_per_m2k), room(20.0), 0.0, Vec::new());
        pile.pour(LayerPour { to_m: 0.03, resin: reacting(), start_c: 10.0, clocks: Vec::new() });
        for at_h in [0.1, 1.0, 5.0] {
            pile.run_until(at_h);
            assert!(pile.energy_error() < KEPT, "h {h_w_per_m2k}: {} at {at_h} h", pile.energy_error());
        }
    }
}

#[test]
fn a_layer_ends_at_the_brim() {
    let mut pile = Pile::new(vessel(0.03, 0.03, 0.01), bare(10.0), room(20.0), 0.0, Vec::new());
    pile.pour(LayerPour { to_m: 0.015, resin: reacting(), start_c: 20.0, clocks: Vec::new() });
    pile.run_until(4.0);
    near(pile.layers()[0].to_m, 0.01, 1e-12);
    assert!(pile.energy_error() < KEPT, "{}", pile.energy_error());
}

#[test]
fn an_item_that_fills_the_vessel_does_not_hold_it_up() {
    // Resin, a disc from wall to wall of whose heat capacity nothing is known, and resin again.
    let point = |level_m: f64, resin_m3: f64| HollowPoint {
        level_m,
        volume_m3: 0.003 * level_m,
        wall_m2: 0.2 * level_m,
        resin_m3,
        items_j_per_k: 0.0,
    };
    let points = vec![point(0.0, 0.0), point(0.01, 3e-5), point(0.014, 3e-5), point(0.02, 4.8e-5)];
    let mut pile = Pile::new(Hollow::new(points).unwrap(), bare(10.0), room(20.0), 0.0, Vec::new());
    pile.pour(LayerPour { to_m: 0.02, resin: reacting(), start_c: 20.0, clocks: Vec::new() });
    pile.run_until(8.0);
    let layer = &pile.layers()[0];
    assert!(layer.resolved && layer.peak_c > 21.0 && layer.peak_c < 200.0, "{}", layer.peak_c);
    assert!(pile.energy_error() < KEPT, "{}", pile.energy_error());
}

fn any_wall() -> impl Strategy<Value = Option<Wall>> {
    let materials = [WallMaterial::Glass, WallMaterial::Polyethylene, WallMaterial::Silicone, WallMaterial::Wood];
    prop::option::of(
        (prop::sample::select(materials.to_vec()), 0.001..0.02)
            .prop_map(|(material, thickness_m)| Wall { material, thickness_m }),
    )
}

fn any_face() -> impl Strategy<Value = Face> {
    (0.0..40.0, 0.0..1.0).prop_map(|(convection_w_per_m2k, emissivity)| Face { convection_w_per_m2k, emissivity })
}

fn any_surroundings() -> impl Strategy<Value = Surroundings> {
    (any_face(), any_face(), any_wall(), any_face(), any_wall())
        .prop_map(|(top, below, base, side, side_wall)| Surroundings { top, below, base, side, side_wall })
}

/// Speeds that run from a layer which hardly warms to one that runs away.
fn any_resin() -> impl Strategy<Value = Resin> {
    (1e-6..1e-4, 0.0..3e-3, 50e3..450e3).prop_map(|(k1_per_s, k2_per_s, heat_j_per_kg)| {
        let resin = reacting();
        Resin { kinetics: Kinetics { k1_per_s, k2_per_s, heat_j_per_kg, ..resin.kinetics }, ..resin }
    })
}

/// A room that cools and warms again.
fn room(low_c: f64) -> TemperatureCurve {
    let knot = |(at_h, celsius)| Knot { at_h, celsius: c(celsius) };
    TemperatureCurve::new([(0.0, 24.0), (5.0, low_c), (9.0, 21.0)].map(knot).to_vec()).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn heat_is_kept_with_walls_base_radiation_and_several_layers(
        around in any_surroundings(),
        floor_m in 0.02..0.1,
        brim_m in 0.02..0.1,
        pours in prop::collection::vec((any_resin(), 0.002..0.02, 0.1..3.0, 10.0..40.0), 1..6),
        low_c in 5.0..24.0,
    ) {
        let height_m: f64 = pours.iter().map(|(_, depth_m, _, _)| depth_m).sum();
        let mut pile =
            Pile::new(vessel(floor_m, brim_m, height_m), around, room(low_c), 0.0, Vec::new()).with(Fineness::WORKING);
        let mut to_m = 0.0;
        for (resin, depth_m, wait_h, start_c) in pours {
            to_m += depth_m;
            pile.pour(LayerPour { to_m, resin, start_c, clocks: Vec::new() });
            pile.run_until(pile.now_h() + wait_h);
            prop_assert!(pile.energy_error() < KEPT, "{} at {} h", pile.energy_error(), pile.now_h());
        }
        pile.run_until_calm(200.0);
        prop_assert!(pile.energy_error() < KEPT, "{} at {} h", pile.energy_error(), pile.now_h());
    }
}

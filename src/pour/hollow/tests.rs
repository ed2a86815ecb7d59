use super::*;
use crate::pour::read::tests::{demo, piece};
use crate::pour::vessel::tests::any_shape;
use crate::units::{GramsPerMl, JPerGK, Level};
use proptest::prelude::*;

const BOX: &str = "shape = \"box\"\nlength_mm = 60\nwidth_mm = 40\nheight_mm = 30\n";
const CYLINDER: &str = "shape = \"cylinder\"\ndiameter_mm = 98\nheight_mm = 48\n";
const CONE: &str = "shape = \"tapered\"\nbottom_diameter_mm = 5\ntop_diameter_mm = 90\nheight_mm = 120\n";
const BALL: &str = "shape = \"sphere-part\"\ndiameter_mm = 100\nheight_mm = 100\n";

fn in_a(vessel: &str, more: &str) -> Piece {
    piece(&format!("name = \"Hollow\"\nmaterial = \"clear-polyester\"\nfill_mm = 20\n[vessel]\n{vessel}{more}"))
}

fn pond() -> Piece {
    demo(include_str!("../../../demo-data/pond.toml")).0
}

/// With `heat` for every item that has a density.
fn all_known(mut piece: Piece) -> Piece {
    for item in &mut piece.items {
        item.density = item.density.or(GramsPerMl::new(1.5).ok());
        item.specific_heat = JPerGK::new(0.9).ok();
    }
    piece
}

/// What lies below `level_mm`, on the straight line between the points.
fn between(points: &[HollowPoint], level_mm: f64) -> HollowPoint {
    let level_m = level_mm * 1e-3;
    let above = points.partition_point(|point| point.level_m < level_m).clamp(1, points.len() - 1);
    let (low, high) = (points[above - 1], points[above]);
    let share = (level_m - low.level_m) / (high.level_m - low.level_m);
    let on = |low: f64, high: f64| low + share * (high - low);
    HollowPoint {
        level_m,
        volume_m3: on(low.volume_m3, high.volume_m3),
        wall_m2: on(low.wall_m2, high.wall_m2),
        resin_m3: on(low.resin_m3, high.resin_m3),
        items_j_per_k: on(low.items_j_per_k, high.items_j_per_k),
    }
}

/// Held against vessel and items at a level anywhere: off by this share of the whole at most.
fn off(piece: &Piece, points: &[HollowPoint], level_mm: f64) -> f64 {
    let (drawn, real, whole) = (between(points, level_mm), point(piece, level_mm), points[points.len() - 1]);
    let shares = [
        (drawn.volume_m3 - real.volume_m3) / whole.volume_m3,
        (drawn.wall_m2 - real.wall_m2) / whole.wall_m2,
        (drawn.resin_m3 - real.resin_m3) / whole.resin_m3,
        (drawn.items_j_per_k - real.items_j_per_k) / whole.items_j_per_k.max(1e-300),
    ];
    shares.into_iter().map(f64::abs).fold(0.0, f64::max)
}

fn close(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-12 * want.abs().max(1e-6), "got {got}, want {want}");
}

#[test]
fn every_point_is_what_vessel_and_space_say() {
    for piece in [in_a(BOX, ""), in_a(CYLINDER, ""), in_a(CONE, ""), in_a(BALL, ""), pond()].map(all_known) {
        let (space, points) = (Space::new(&piece.vessel, &piece.items), points(&piece));
        assert!(points.len() >= 100, "{}", points.len());
        for point in &points {
            let level_mm = point.level_m * 1e3;
            close(point.volume_m3, piece.vessel.volume_below_ml(level_mm) * 1e-6);
            close(point.wall_m2, piece.vessel.wall_below_mm2(level_mm) * 1e-6);
            close(point.resin_m3, space.volume_below_ml(level_mm) * 1e-6);
        }
        close(hollow(&piece).unwrap().height_m(), piece.vessel.height_mm() * 1e-3);
    }
}

#[test]
fn between_the_points_it_is_right_to_a_thousandth_of_the_whole() {
    for piece in [in_a(BOX, ""), in_a(CYLINDER, ""), in_a(CONE, ""), in_a(BALL, ""), pond()].map(all_known) {
        let points = points(&piece);
        let at = |i: u32| piece.vessel.height_mm() * f64::from(i) / 997.0;
        let worst = (0..=997).map(|i| off(&piece, &points, at(i))).fold(0.0, f64::max);
        assert!(worst < 1e-3, "{}: {worst}", piece.name);
    }
}

#[test]
fn the_heat_capacity_of_the_items_adds_up() {
    let shells =
        "[[item]]\nname = \"shell\"\ncount = 3\nvolume_ml = 2\ndensity_g_per_ml = 2.5\nfrom_mm = 5\nto_mm = 15\n";
    let piece = in_a(BOX, &format!("{shells}specific_heat_j_per_gk = 0.9\n{shells}"));
    let points = points(&piece);
    // 6 mL · 2.5 g/mL · 0.9 J/gK; the three shells of unknown specific heat are resin.
    close(between(&points, 30.0).items_j_per_k, 13.5);
    close(between(&points, 30.0).resin_m3, 72e-6 - 6e-6);
    close(between(&points, 5.0).items_j_per_k, 0.0);
    close(between(&points, 10.0).items_j_per_k, 6.75);
    close(between(&points, 10.0).resin_m3, 24e-6 - 3e-6);
}

#[test]
fn what_sticks_out_over_the_brim_does_not_count() {
    let reed = "[[item]]\nname = \"reed\"\nvolume_ml = 4\nmass_g = 2\nspecific_heat_j_per_gk = 1.5\nfrom_mm = 10\nto_mm = 50\n";
    let piece = in_a(BOX, reed);
    close(points(&piece).last().unwrap().items_j_per_k, 1.5);
    let [watch] = item_watches(&piece)[..] else { panic!() };
    close(watch.from_m, 0.01);
    close(watch.to_m, 0.05);
}

#[test]
fn items_are_watched_in_the_order_of_the_piece() {
    let pond = pond();
    let watches = item_watches(&pond);
    assert_eq!(watches.len(), 2);
    close(watches[0].from_m, 0.012);
    close(watches[0].to_m, 0.012 + pond.items[0].solid.height_mm() * 1e-3);
    close(watches[1].from_m, 0.024);
    close(watches[1].to_m, 0.055);
}

#[test]
fn walls_are_the_pieces_or_thin_polyethylene() {
    let unknown = surroundings(&in_a(BOX, ""));
    let thin = Some(Wall { material: WallMaterial::Polyethylene, thickness_m: 0.002 });
    assert_eq!((unknown.base, unknown.side_wall), (thin, thin));
    let glass = surroundings(&in_a(BOX, "wall = \"glass\"\nwall_mm = 4\nbase_mm = 6\n"));
    let of_glass = |thickness_m| Some(Wall { material: WallMaterial::Glass, thickness_m });
    assert_eq!((glass.base, glass.side_wall), (of_glass(0.006), of_glass(0.004)));
    assert_eq!((glass.top, glass.side), (unknown.top, glass.top));
    assert!(glass.below.emissivity.abs() < 1e-12 && glass.below.convection_w_per_m2k > 0.0);
}

proptest! {
    #[test]
    fn every_vessel_has_a_hollow(
        shapes in prop::collection::vec(any_shape(), 1..4),
        levels in prop::collection::vec((0.0f64..1.0, 1e-6f64..1.0), 0..4),
    ) {
        let mut piece = in_a(BOX, "");
        piece.vessel = Vessel::stack(shapes).unwrap();
        let brim_mm = piece.vessel.height_mm();
        // Items that touch almost nothing, anywhere: their ends are points all the same.
        let tiny = |(from, tall): (f64, f64)| crate::pour::Item {
            solid: crate::pour::item::tests::even(1e-9, tall * brim_mm),
            from: Level::new(from * brim_mm).unwrap(),
            ..crate::pour::item::tests::item(crate::pour::item::tests::even(1.0, 1.0), 1, 0.0)
        };
        piece.items = levels.into_iter().map(tiny).collect();
        let points = points(&all_known(piece.clone()));
        prop_assert!(Hollow::new(points.clone()).is_some(), "{points:?}");
        prop_assert!((points[points.len() - 1].level_m - brim_mm * 1e-3).abs() <= 1e-12 * brim_mm);
    }
}

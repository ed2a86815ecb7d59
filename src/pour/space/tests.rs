use super::*;
use crate::pour::item::Solid;
use crate::pour::item::tests::{even, item};
use crate::pour::mesh::Mesh;
use crate::pour::mesh::testing::{cuboid, star};
use crate::pour::monotone::Monotone;
use crate::pour::vessel::Shape;
use crate::units::{Level, Millimetres};
use proptest::prelude::*;
use std::f64::consts::PI;
use std::sync::Arc;

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

fn cylinder(diameter: f64, height: f64) -> Shape {
    Shape::Cylinder { diameter: mm(diameter), height: mm(height) }
}

fn vessel(shapes: impl IntoIterator<Item = Shape>) -> Vessel {
    Vessel::stack(shapes).unwrap()
}

/// 100 × 100 and 60 high: 10 mL a millimetre.
fn tray() -> Vessel {
    vessel([Shape::Box { length: mm(100.0), width: mm(100.0), height: mm(60.0) }])
}

fn mesh(triangles: &[[[f32; 3]; 3]]) -> Solid {
    Solid::Mesh(Arc::new(Mesh::new(triangles, 1.0).unwrap()))
}

fn ball(radius: f64) -> Solid {
    mesh(&star(4, |_, _| radius))
}

#[test]
#[expect(clippy::float_cmp, reason = "without items the vessel's own closed form is used")]
fn without_items_it_is_the_vessel() {
    let bowl = vessel([
        Shape::sphere_part(mm(80.0), Level::new(10.0).unwrap(), mm(30.0)).unwrap(),
        Shape::Tapered { bottom_diameter: mm(70.0), top_diameter: mm(90.0), height: mm(20.0) },
    ]);
    let space = Space::new(&bowl, &[]);
    for volume in [0.5, 40.0, 90.0, 150.0] {
        assert_eq!(space.level_after_mm(0.0, volume), bowl.level_of_mm(volume));
    }
    assert_eq!(space.volume_below_ml(33.0), bowl.volume_below_ml(33.0));
    assert_eq!(space.crowded_at(), None);
}

#[test]
fn resin_stands_higher_beside_an_item_and_as_before_above_it() {
    let (tray, items) = (tray(), [item(even(100.0, 20.0), 1, 10.0)]);
    let space = Space::new(&tray, &items);
    let level = |volume| space.level_after_mm(0.0, volume).unwrap();
    assert!((level(100.0) - 10.0).abs() < 1e-10);
    assert!((level(150.0) - 20.0).abs() < 1e-10, "beside it half of the tray is left");
    assert!((level(300.0) - 40.0).abs() < 1e-10, "above it, by its volume");
    assert!((space.level_after_mm(20.0, 100.0).unwrap() - 35.0).abs() < 1e-10);
    assert!((space.volume_between_ml(10.0, 30.0) - 100.0).abs() < 1e-10);
}

#[test]
fn the_brim_is_the_end() {
    let (tray, items) = (tray(), [item(even(100.0, 20.0), 1, 50.0)]);
    let space = Space::new(&tray, &items);
    let room = space.volume_between_ml(5.0, 60.0);
    assert!((room - 500.0).abs() < 1e-9, "of the item half stands out");
    assert!((space.level_after_mm(5.0, room).unwrap() - 60.0).abs() < 1e-9);
    assert!((space.level_after_mm(5.0, room * (1.0 + 1e-14)).unwrap() - 60.0).abs() < 1e-9);
    assert_eq!(space.level_after_mm(5.0, room + 0.001), None);
    assert_eq!(space.level_after_mm(60.0, 1.0), None);
    assert_eq!(space.level_after_mm(5.0, 0.0), Some(5.0));
    assert_eq!(space.level_after_mm(5.0, f64::NAN), None);
}

#[test]
fn items_wider_than_the_vessel_are_found_where_they_begin() {
    let tray = tray();
    let crowded = |items: &[_]| Space::new(&tray, items).crowded_at();
    // 15 mL a millimetre in a tray of 10.
    assert_eq!(crowded(&[item(even(20.0, 20.0), 1, 5.0), item(even(300.0, 20.0), 1, 30.0)]), Some((30.0, 1)));
    assert_eq!(crowded(&[item(even(20.0, 20.0), 15, 5.0)]), Some((5.0, 0)), "all fifteen of them");
    // Together too many from 20 mm on, the second taking more of it.
    assert_eq!(crowded(&[item(even(80.0, 20.0), 1, 5.0), item(even(180.0, 20.0), 1, 20.0)]), Some((20.0, 1)));
    assert_eq!(crowded(&[item(even(200.0, 20.0), 1, 5.0)]), None, "just full is no more than full");
    assert_eq!(crowded(&[item(even(300.0, 20.0), 1, 60.0)]), None, "above the brim it is not the vessel's matter");
    assert_eq!(crowded(&[item(even(5.0, 1e-20), 1, 30.0)]), Some((30.0, 0)), "so thin that it begins where it ends");
}

#[test]
fn a_narrowing_vessel_is_crowded_from_where_it_is_too_narrow() {
    let cup = vessel([Shape::Tapered { bottom_diameter: mm(80.0), top_diameter: mm(40.0), height: mm(40.0) }]);
    // A post of 50 mm diameter: 40 mm of it pass where the cup is 50 mm wide, at 30 mm.
    let post = [item(even(PI * 625.0 * 40.0 / 1000.0, 40.0), 1, 0.0)];
    let (at, which) = Space::new(&cup, &post).crowded_at().unwrap();
    assert!((at - 30.0).abs() < 0.25 && which == 0, "{at}");
}

#[test]
fn a_mesh_is_crowded_at_its_waist() {
    let tube = vessel([cylinder(30.0, 60.0)]);
    let (ball, small) = ([item(ball(16.0), 1, 10.0)], [item(ball(14.9), 1, 10.0)]);
    let (at, _) = Space::new(&tube, &ball).crowded_at().unwrap();
    // Where √(16² - d²) = 15 below the middle at 26.
    assert!((at - (26.0 - 31f64.sqrt())).abs() < 0.3, "{at}");
    assert_eq!(Space::new(&tube, &small).crowded_at(), None);
    let table = |solid: &Solid| match solid {
        Solid::Mesh(mesh) => Solid::Table(Arc::new(mesh.table())),
        _ => unreachable!(),
    };
    assert!(Space::new(&tube, &[item(table(&ball[0].solid), 1, 10.0)]).crowded_at().is_some());
    assert_eq!(Space::new(&tube, &[item(table(&small[0].solid), 1, 10.0)]).crowded_at(), None);
}

#[test]
fn a_gap_between_two_bodies_of_a_mesh_is_room_like_any_other() {
    let pair = mesh(&[cuboid([0.0; 3], [50.0, 50.0, 10.0]), cuboid([0.0, 0.0, 20.0], [50.0, 50.0, 30.0])].concat());
    let (tray, items) = (tray(), [item(pair, 1, 0.0)]);
    let space = Space::new(&tray, &items);
    assert!((space.level_after_mm(0.0, 75.0).unwrap() - 10.0).abs() < 1e-9);
    assert!((space.level_after_mm(0.0, 125.0).unwrap() - 15.0).abs() < 1e-9);
    assert!((space.level_after_mm(0.0, 212.5).unwrap() - 25.0).abs() < 1e-9);
}

fn any_solid() -> impl Strategy<Value = Solid> {
    // At most 40 % of the narrowest vessel's surface all together: three items, 4.5 mL a millimetre there.
    let even_one = (0.01f64..0.6, 1.0f64..70.0).prop_map(|(share, height)| even(share * height, height));
    let radii = prop::collection::vec(3.0f64..13.0, 66);
    let bodies = radii.prop_map(|radii| star(2, |number, _| radii[number]));
    let table = (1.0f64..70.0, 0.2f64..0.8).prop_map(|(height, share)| {
        let points = [(height * share, 0.6 * height * share), (height, 0.6 * height)];
        Solid::Table(Arc::new(Monotone::through(&points).unwrap()))
    });
    prop_oneof![even_one, table, bodies.prop_map(|triangles| mesh(&triangles))]
}

fn any_vessel() -> impl Strategy<Value = Vessel> {
    let shape = prop_oneof![
        (76.0f64..200.0, 10.0f64..60.0).prop_map(|(d, h)| cylinder(d, h)),
        (76.0f64..200.0, 76.0f64..200.0, 10.0f64..60.0).prop_map(|(b, t, h)| Shape::Tapered {
            bottom_diameter: mm(b),
            top_diameter: mm(t),
            height: mm(h)
        }),
        (100.0f64..200.0)
            .prop_map(|d| { Shape::sphere_part(mm(d), Level::new(d / 4.0).unwrap(), mm(d / 2.0)).unwrap() }),
        (5.0f64..30.0, 10.0f64..40.0).prop_map(|(area, h)| {
            Shape::Filled(Monotone::through(&[(h / 2.0, area * h / 2.0), (h, area * h * 1.2)]).unwrap())
        }),
    ];
    prop::collection::vec(shape, 1..4).prop_map(vessel)
}

fn any_items() -> impl Strategy<Value = Vec<Item>> {
    let placed = (any_solid(), 0.0f64..60.0).prop_map(|(solid, from)| item(solid, 1, from));
    prop::collection::vec(placed, 0..4)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(400))]

    #[test]
    fn layers_add_up_to_vessel_minus_items(
        vessel in any_vessel(), items in any_items(), cuts in prop::collection::vec(0.0f64..1.0, 0..12),
    ) {
        let space = Space::new(&vessel, &items);
        let top = vessel.height_mm();
        let mut levels: Vec<f64> = cuts.into_iter().map(|share| share * top).chain([0.0, top]).collect();
        levels.sort_by(f64::total_cmp);
        let layers: f64 = levels.windows(2).map(|pair| space.volume_between_ml(pair[0], pair[1])).sum();
        let below_brim: f64 = items.iter().map(|item| item.displaced_below_ml(top)).sum();
        let whole = vessel.volume_below_ml(top);
        prop_assert!((layers - space.volume_below_ml(top)).abs() <= 1e-12 * whole);
        prop_assert!((layers - (whole - below_brim)).abs() <= 1e-12 * whole);
    }

    #[test]
    fn what_is_poured_in_is_what_lies_between(
        vessel in any_vessel(), items in any_items(), from in 0.0f64..1.0, share in 0.0f64..1.0,
    ) {
        let space = Space::new(&vessel, &items);
        prop_assume!(space.crowded_at().is_none());
        let top = vessel.height_mm();
        let from = from * top;
        let poured = share * space.volume_between_ml(from, top);
        let level = space.level_after_mm(from, poured).unwrap();
        prop_assert!((from..=top).contains(&level));
        let between = space.volume_between_ml(from, level);
        prop_assert!((between - poured).abs() <= 1e-9 * vessel.volume_below_ml(top), "{poured} mL, but {between}");
    }

    #[test]
    fn room_grows_with_the_level_where_nothing_is_crowded(vessel in any_vessel(), items in any_items(), a in 0.0f64..1.0, b in 0.0f64..1.0) {
        let space = Space::new(&vessel, &items);
        prop_assume!(space.crowded_at().is_none());
        let (low, high) = (a.min(b) * vessel.height_mm(), a.max(b) * vessel.height_mm());
        prop_assert!(space.volume_between_ml(low, high) >= -1e-10 * vessel.volume_below_ml(f64::INFINITY));
    }
}

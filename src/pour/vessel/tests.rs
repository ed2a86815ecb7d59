use super::*;
use crate::pour::Monotone;
use crate::units::{Level, Millimetres};
use proptest::prelude::*;
use std::f64::consts::PI;

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

fn level(value: f64) -> Level {
    Level::new(value).unwrap()
}

fn one(shape: Shape) -> Vessel {
    Vessel::stack([shape]).unwrap()
}

/// 1 mm to 2 m, small ones as often as large ones.
fn any_mm() -> impl Strategy<Value = f64> {
    (0.0f64..2000f64.log10()).prop_map(|log| 10f64.powf(log))
}

/// A share from 1e-9 to 1, small ones as often as large ones; now and then all.
fn any_share() -> impl Strategy<Value = f64> {
    prop_oneof![1 => Just(1.0), 4 => 0.0f64..1.0, 4 => (-9.0f64..0.0).prop_map(|log| 10f64.powf(log))]
}

fn any_tapered() -> impl Strategy<Value = Shape> {
    let nearly_straight = (any_mm(), -16.0f64..0.0, any::<bool>()).prop_map(|(bottom, log, wider)| {
        let factor = 1.0 + 10f64.powf(log);
        (bottom, if wider { bottom * factor } else { bottom / factor })
    });
    (prop_oneof![nearly_straight, (any_mm(), any_mm())], any_mm()).prop_map(|((bottom, top), height)| Shape::Tapered {
        bottom_diameter: mm(bottom),
        top_diameter: mm(top),
        height: mm(height),
    })
}

fn any_sphere_part() -> impl Strategy<Value = Shape> {
    let starts = prop_oneof![1 => Just(0.0), 3 => 0.0f64..0.99, 2 => (-9.0f64..-0.1).prop_map(|log| 10f64.powf(log))];
    (any_mm(), starts, 0.001f64..=1.0).prop_map(|(diameter, starts, share)| {
        let starts = diameter * starts;
        Shape::sphere_part(mm(diameter), level(starts), mm((diameter - starts) * share)).unwrap()
    })
}

fn any_filled() -> impl Strategy<Value = Shape> {
    prop::collection::vec((any_mm(), any_mm()), 1..8).prop_map(|steps| {
        let mut at = (0.0, 0.0);
        let rising = steps.into_iter().map(|(x, y)| {
            at = (at.0 + x, at.1 + y);
            at
        });
        Shape::Filled(Monotone::through(&rising.collect::<Vec<_>>()).unwrap())
    })
}

pub fn any_shape() -> impl Strategy<Value = Shape> {
    prop_oneof![
        (any_mm(), any_mm(), any_mm()).prop_map(|(length, width, height)| Shape::Box {
            length: mm(length),
            width: mm(width),
            height: mm(height)
        }),
        (any_mm(), any_mm()).prop_map(|(d, h)| Shape::Cylinder { diameter: mm(d), height: mm(h) }),
        any_tapered(),
        (3u32..=1000, any_mm(), any_mm()).prop_map(|(sides, f, h)| Shape::prism(sides, mm(f), mm(h)).unwrap()),
        any_sphere_part(),
        any_filled(),
    ]
}

/// From `level_mm` to its volume and back: the level is the same to 1e-9 of itself, except where a change that small is lost
/// in the rounding of the volume, as at a tip; the volume is the same but for rounding, its own and the level's.
fn there_and_back(vessel: &Vessel, level_mm: f64) -> Result<(), TestCaseError> {
    let volume_ml = vessel.volume_below_ml(level_mm);
    let back_mm = vessel.level_of_mm(volume_ml).unwrap();
    let again_ml = vessel.volume_below_ml(back_mm);
    let area_mm2 = vessel.area_mm2(level_mm).max(vessel.area_mm2(back_mm));
    let rounding_ml = 2e-14 * volume_ml + 4.0 * f64::EPSILON * level_mm * area_mm2 / 1000.0;
    prop_assert!((again_ml - volume_ml).abs() <= rounding_ml, "{volume_ml} mL, then {again_ml}");
    let off_mm = 1e-9 * level_mm;
    let beside_mm = if back_mm < level_mm { level_mm - off_mm } else { level_mm + off_mm };
    let told_apart = (vessel.volume_below_ml(beside_mm) - volume_ml).abs() > rounding_ml;
    prop_assert!(!told_apart || (back_mm - level_mm).abs() <= off_mm, "{level_mm} mm, then {back_mm}");
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn every_shape_goes_there_and_back(shape in any_shape(), share in any_share()) {
        let vessel = one(shape);
        there_and_back(&vessel, vessel.height_mm() * share)?;
    }

    #[test]
    fn stacks_go_there_and_back(shapes in prop::collection::vec(any_shape(), 1..5), share in any_share()) {
        let vessel = Vessel::stack(shapes).unwrap();
        there_and_back(&vessel, vessel.height_mm() * share)?;
    }

    #[test]
    fn volume_rises_with_the_level_and_the_area_is_its_slope(shape in any_shape(), share in 0.01f64..0.99) {
        let vessel = one(shape);
        let height = vessel.height_mm();
        // Far enough that the difference keeps digits, near enough that the surface hardly bends; a measured one has knots.
        let (at, step) = (height * share, height * 1e-5);
        let rise = vessel.volume_below_ml(at + step) - vessel.volume_below_ml(at - step);
        prop_assert!(rise > 0.0);
        let (low, high) = (vessel.area_mm2(at - step), vessel.area_mm2(at + step));
        let area = rise * 1000.0 / (2.0 * step);
        let slack = 1e-6 * area + 1e-10 * vessel.volume_below_ml(at) * 1000.0 / step;
        prop_assert!(area >= low.min(high).min(vessel.area_mm2(at)) - slack, "{low} {area} {high}");
        prop_assert!(area <= low.max(high).max(vessel.area_mm2(at)) + slack, "{low} {area} {high}");
    }

    #[test]
    fn the_halves_of_a_taper_make_the_whole(taper in any_tapered(), share in 0.01f64..0.99) {
        let Shape::Tapered { bottom_diameter: b, top_diameter: t, height } = taper else { unreachable!() };
        let between = mm(b.get() * (1.0 - share) + t.get() * share);
        let lower = Shape::Tapered { bottom_diameter: b, top_diameter: between, height: mm(height.get() * share) };
        let upper = Shape::Tapered { bottom_diameter: between, top_diameter: t, height: mm(height.get() * (1.0 - share)) };
        let (split, whole) = (Vessel::stack([lower, upper]).unwrap(), one(taper));
        let (got, want) = (split.volume_below_ml(split.height_mm()), whole.volume_below_ml(whole.height_mm()));
        prop_assert!((got / want - 1.0).abs() < 1e-12, "{got} {want}");
    }

    #[test]
    fn a_ball_cut_into_slices_is_the_ball(diameter in any_mm(), cuts in prop::collection::vec(0.01f64..1.0, 1..6)) {
        let whole: f64 = cuts.iter().sum();
        let mut at = 0.0;
        let slices: Vec<Shape> = cuts.iter().map(|cut| {
            let height = diameter * cut / whole;
            let slice = Shape::sphere_part(mm(diameter), level(at), mm(height)).unwrap();
            at += height;
            slice
        }).collect();
        let vessel = Vessel::stack(slices).unwrap();
        let ball = PI / 6.0 * diameter.powi(3) / 1000.0;
        prop_assert!((vessel.volume_below_ml(vessel.height_mm()) / ball - 1.0).abs() < 1e-12);
    }
}

#[test]
fn what_cannot_be_is_refused() {
    for sides in [0, 2, 1001] {
        let fault = Shape::prism(sides, mm(30.0), mm(5.0)).unwrap_err();
        assert_eq!(fault, ShapeFault::Sides(sides));
        assert_eq!(Vessel::stack([Shape::Prism { sides, across_flats: mm(30.0), height: mm(5.0) }]), None);
    }
    let fault = Shape::sphere_part(mm(80.0), level(30.0), mm(60.0)).unwrap_err();
    assert_eq!(
        fault.to_string(),
        "this part of a ball would end 90.000 mm above the ball's lowest point, but the ball is 80 mm across: where the \
         part starts and its height may together be at most 80 mm"
    );
    assert!(Shape::sphere_part(mm(80.0), level(12.3), mm(67.7)).is_ok(), "12.3 + 67.7 is 80 to whoever writes it");
    assert_eq!(Vessel::stack([]), None);
}

#[test]
fn at_a_step_the_upper_section_counts() {
    let low = Shape::Box { length: mm(40.0), width: mm(20.0), height: mm(10.0) };
    let high = Shape::Cylinder { diameter: mm(60.0), height: mm(5.0) };
    let vessel = Vessel::stack([low, high]).unwrap();
    assert!((vessel.area_mm2(9.999) - 800.0).abs() < 1e-9);
    assert!((vessel.area_mm2(10.0) - PI * 900.0).abs() < 1e-9);
    assert!((vessel.half_width_mm(3.0) - 20.0).abs() < 1e-12 && (vessel.half_width_mm(12.0) - 30.0).abs() < 1e-12);
    assert!((vessel.level_of_mm(8.0).unwrap() - 10.0).abs() < 1e-12);
    assert!((vessel.sections()[1].from_mm - 10.0).abs() < 1e-12 && (vessel.height_mm() - 15.0).abs() < 1e-12);
}

#[test]
fn levels_stay_between_floor_and_brim() {
    let vessel = one(Shape::Cylinder { diameter: mm(60.0), height: mm(5.0) });
    let full = vessel.volume_below_ml(5.0);
    assert!((vessel.volume_below_ml(99.0) - full).abs() < 1e-12 && vessel.volume_below_ml(-1.0).abs() < 1e-12);
    assert_eq!(vessel.level_of_mm(full * 1.001), None);
    assert_eq!(vessel.level_of_mm(full * (1.0 + 1e-14)), Some(5.0), "a rounding over the brim is brimful");
    assert_eq!(vessel.level_of_mm(-1.0), Some(0.0));
    assert_eq!(vessel.level_of_mm(f64::NAN), None);
}

#[test]
fn a_cone_that_ends_in_almost_a_point_fills_to_its_tip() {
    let vessel = one(Shape::Tapered { bottom_diameter: mm(80.0), top_diameter: mm(1e-6), height: mm(40.0) });
    let full = vessel.volume_below_ml(40.0);
    assert!((full / (PI * 1600.0 * 40.0 / 3000.0) - 1.0).abs() < 1e-7);
    // The last thousandth of a millimetre holds less than a double can tell.
    assert!((vessel.level_of_mm(full).unwrap() - 40.0).abs() < 1e-3);
}

#[test]
fn things_wider_than_the_vessel_are_seen() {
    let length_and_width = one(Shape::Box { length: mm(60.0), width: mm(20.0), height: mm(10.0) });
    assert!(length_and_width.fits_spans([60.0, 20.0]) && length_and_width.fits_spans([20.0, 60.0]));
    assert!(!length_and_width.fits_spans([30.0, 30.0]) && !length_and_width.fits_spans([61.0, 5.0]));
    let round = one(Shape::Cylinder { diameter: mm(60.0), height: mm(5.0) });
    assert!(round.fits_spans([60.0, 60.0]), "it may be round itself");
    assert!(!round.fits_spans([5.0, 60.1]));
    let bowl = one(Shape::sphere_part(mm(60.0), level(0.0), mm(10.0)).unwrap());
    // The chord 10 mm up a ball of 60 mm: 2 √(10 · 50).
    assert!(bowl.fits_spans([44.72, 1.0]) && !bowl.fits_spans([44.73, 1.0]));
    let ball = one(Shape::sphere_part(mm(60.0), level(10.0), mm(50.0)).unwrap());
    assert!(ball.fits_spans([60.0, 1.0]), "its waist is inside");
    let triangle = one(Shape::prism(3, mm(30.0), mm(5.0)).unwrap());
    // A triangle's side is 2 √3 times the distance from axis to side.
    assert!(triangle.fits_spans([51.96, 1.0]) && !triangle.fits_spans([51.97, 1.0]));
    let taper = Shape::Tapered { bottom_diameter: mm(30.0), top_diameter: mm(50.0), height: mm(5.0) };
    assert!(one(taper.clone()).fits_spans([50.0, 3.0]) && !one(taper.clone()).fits_spans([50.1, 3.0]));
    let stacked = Vessel::stack([taper, Shape::Cylinder { diameter: mm(70.0), height: mm(5.0) }]).unwrap();
    assert!(stacked.fits_spans([70.0, 3.0]), "the widest section counts");
    assert!(one(Shape::Filled(Monotone::through(&[(10.0, 3.0)]).unwrap())).fits_spans([900.0, 900.0]));
}

#[test]
fn half_widths_are_those_of_the_drawing() {
    let hexagon = one(Shape::prism(6, mm(30.0), mm(5.0)).unwrap());
    assert!((hexagon.half_width_mm(1.0) - 30.0 / 3f64.sqrt()).abs() < 1e-12);
    let bowl = one(Shape::sphere_part(mm(60.0), level(0.0), mm(30.0)).unwrap());
    assert!(bowl.half_width_mm(0.0).abs() < 1e-12 && (bowl.half_width_mm(30.0) - 30.0).abs() < 1e-12);
    let filled = one(Shape::Filled(Monotone::through(&[(10.0, PI * 4.0)]).unwrap()));
    assert!((filled.half_width_mm(5.0) - 20.0).abs() < 1e-9, "4π mL over 10 mm are those of a cylinder of 20 mm");
}

#[test]
fn walls_of_straight_vessels_are_perimeter_times_height() {
    let wall = |shape, level| one(shape).wall_below_mm2(level);
    let near = |got: f64, want: f64| assert!((got / want - 1.0).abs() < 1e-12, "got {got}, want {want}");
    near(wall(Shape::Box { length: mm(60.0), width: mm(40.0), height: mm(30.0) }, 10.0), 2.0 * (60.0 + 40.0) * 10.0);
    near(wall(Shape::Cylinder { diameter: mm(98.0), height: mm(48.0) }, 40.0), PI * 98.0 * 40.0);
    // A hexagon 30 mm across flats has sides of 30/√3.
    near(wall(Shape::prism(6, mm(30.0), mm(5.0)).unwrap(), 99.0), 6.0 * 30.0 / 3f64.sqrt() * 5.0);
}

#[test]
fn the_wall_of_a_taper_is_the_lateral_area_of_a_frustum() {
    // π (r + s) √(h² + (s − r)²): r 30, s 35, h 12 make a slant of 13.
    let taper = one(Shape::Tapered { bottom_diameter: mm(60.0), top_diameter: mm(70.0), height: mm(12.0) });
    assert!((taper.wall_below_mm2(12.0) / (PI * 65.0 * 13.0) - 1.0).abs() < 1e-12);
    assert!((taper.wall_below_mm2(6.0) / (PI * 62.5 * 6.5) - 1.0).abs() < 1e-12);
    let upside_down = one(Shape::Tapered { bottom_diameter: mm(70.0), top_diameter: mm(60.0), height: mm(12.0) });
    assert!((upside_down.wall_below_mm2(12.0) / (PI * 65.0 * 13.0) - 1.0).abs() < 1e-12);
}

#[test]
fn the_wall_of_a_ball_is_that_of_the_cylinder_round_it() {
    // Archimedes: a zone has the area π D h, wherever it is cut out; the whole ball π D².
    let ball = one(Shape::sphere_part(mm(80.0), level(0.0), mm(80.0)).unwrap());
    for height in [10.0, 40.0, 80.0] {
        assert!((ball.wall_below_mm2(height) / (PI * 80.0 * height) - 1.0).abs() < 1e-12);
    }
    let zone = one(Shape::sphere_part(mm(80.0), level(25.0), mm(20.0)).unwrap());
    assert!((zone.wall_below_mm2(20.0) / (PI * 80.0 * 20.0) - 1.0).abs() < 1e-12);
}

#[test]
fn a_vessel_measured_with_water_has_the_wall_of_the_round_one_it_is() {
    let measured = |shape: &Shape, rows: u32| {
        let depth = |row: u32| shape.height_mm() * f64::from(row) / f64::from(rows);
        let water: Vec<_> = (1..=rows).map(|row| (depth(row), shape.volume_below_ml(depth(row)))).collect();
        one(Shape::Filled(Monotone::through(&water).unwrap()))
    };
    let cylinder = Shape::Cylinder { diameter: mm(98.0), height: mm(48.0) };
    for rows in [1, 7] {
        let wall = measured(&cylinder, rows).wall_below_mm2(40.0);
        assert!((wall / (PI * 98.0 * 40.0) - 1.0).abs() < 1e-9, "{wall}");
    }
    // Twenty rows know the curve between them to some tenths of a per cent.
    for shape in [
        Shape::Tapered { bottom_diameter: mm(40.0), top_diameter: mm(90.0), height: mm(30.0) },
        Shape::sphere_part(mm(80.0), level(5.0), mm(35.0)).unwrap(),
    ] {
        let (got, want) = (measured(&shape, 20).wall_below_mm2(30.0), one(shape).wall_below_mm2(30.0));
        assert!((got / want - 1.0).abs() < 0.01, "got {got}, want {want}");
    }
}

#[test]
fn walls_add_up_over_a_stack_and_end_at_the_brim() {
    let low = Shape::Box { length: mm(40.0), width: mm(20.0), height: mm(10.0) };
    let high = Shape::Cylinder { diameter: mm(60.0), height: mm(5.0) };
    let vessel = Vessel::stack([low, high]).unwrap();
    let whole = 120.0 * 10.0 + PI * 60.0 * 5.0;
    assert!(vessel.wall_below_mm2(-1.0).abs() < 1e-12 && (vessel.wall_below_mm2(4.0) - 480.0).abs() < 1e-9);
    assert!((vessel.wall_below_mm2(15.0) - whole).abs() < 1e-9 && (vessel.wall_below_mm2(99.0) - whole).abs() < 1e-9);
}

/// A round vessel of the same areas, cut into `slices` frustums between `from` and `to`.
fn frustums_mm2(vessel: &Vessel, from: f64, to: f64, slices: u32) -> f64 {
    let slice = (to - from) / f64::from(slices);
    let radius = |i: u32| (vessel.area_mm2(from + f64::from(i) * slice) / PI).sqrt();
    (0..slices).map(|i| PI * (radius(i) + radius(i + 1)) * slice.hypot(radius(i + 1) - radius(i))).sum()
}

proptest! {
    #[test]
    fn a_measured_wall_is_that_of_many_thin_frustums(shape in any_filled()) {
        let Shape::Filled(curve) = &shape else { unreachable!() };
        let rows: Vec<f64> = std::iter::once(0.0).chain(curve.points().map(|(x, _)| x)).collect();
        let vessel = one(shape);
        let want: f64 = rows.windows(2).map(|row| frustums_mm2(&vessel, row[0], row[1], 3000)).sum();
        let got = vessel.wall_below_mm2(vessel.height_mm());
        prop_assert!((got / want - 1.0).abs() < 1e-3, "{got} {want}");
    }

    #[test]
    fn walls_rise_with_the_level(shapes in prop::collection::vec(any_shape(), 1..4), cut in 0.0f64..1.0) {
        let vessel = Vessel::stack(shapes).unwrap();
        let (part, whole) = (vessel.wall_below_mm2(cut * vessel.height_mm()), vessel.wall_below_mm2(vessel.height_mm()));
        // As far as the quadrature of a measured one can tell.
        prop_assert!(part.is_finite() && part >= 0.0 && part <= whole * (1.0 + 1e-3), "{part} {whole}");
    }
}

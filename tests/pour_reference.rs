//! Vessels against figures from outside the project: computed independently; formulas are textbook (frustum, regular
//! polygon, spherical cap).
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use nightpour::pour::{Shape, Vessel};
use nightpour::units::{Level, Millimetres};

fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

fn vessel(shape: Shape) -> Vessel {
    Vessel::stack([shape]).unwrap()
}

/// To one in a million.
#[track_caller]
fn close(got: f64, want: f64) {
    assert!((got / want - 1.0).abs() <= 1e-6, "got {got}, want {want}");
}

#[test]
fn a_tapered_round_vessel() {
    // V = π h (R² + R r + r²) / 3 with R 35, r 30, h 50 mm.
    let narrowing = Shape::Tapered { bottom_diameter: mm(70.0), top_diameter: mm(60.0), height: mm(50.0) };
    let widening = Shape::Tapered { bottom_diameter: mm(60.0), top_diameter: mm(70.0), height: mm(50.0) };
    close(vessel(narrowing).volume_below_ml(50.0), 166.242_611);
    let widening = vessel(widening);
    close(widening.volume_below_ml(50.0), 166.242_611);
    // 60 mL in it, 30 mm of radius at the floor and 35 at the brim.
    close(widening.level_of_mm(60.0).unwrap(), 19.874_880);
}

#[test]
fn a_hexagonal_prism() {
    // A = (√3 / 2) s² with s 30 mm across flats; 5 mm high.
    let hexagon = Shape::prism(6, mm(30.0), mm(5.0)).unwrap();
    close(vessel(hexagon).volume_below_ml(5.0), 3.897_114);
}

#[test]
fn a_hemisphere_in_layers() {
    // V(h) = π h² (3R - h) / 3 with R 40 mm, in layers of 10 mm from the bottom.
    let bowl = vessel(Shape::sphere_part(mm(80.0), Level::new(0.0).unwrap(), mm(40.0)).unwrap());
    let mut below = 0.0;
    for (layer, want) in (1..).zip([11.519_173, 30.368_729, 42.935_100, 49.218_285]) {
        let top = 10.0 * f64::from(layer);
        close(bowl.volume_below_ml(top) - bowl.volume_below_ml(top - 10.0), want);
        below += want;
        close(bowl.level_of_mm(below.min(bowl.volume_below_ml(40.0))).unwrap(), top);
    }
}

//! Tables of reference figures, and how near is near.

use nightpour::learn::PlainLook;
use nightpour::material::Stage;
use nightpour::units::{Celsius, DosePercent, Hours};

/// The rows of a file of `tests/reference`, the line with the names and comments left out.
pub fn rows(name: &str) -> Vec<Vec<String>> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference").join(name);
    let text = std::fs::read_to_string(path).unwrap();
    let lines = text.lines().filter(|line| !line.starts_with('#'));
    lines.skip(1).map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

pub fn look(celsius: f64, dose: Option<f64>, after_h: f64, by_h: f64, count: u32) -> PlainLook {
    let hours = |h: f64| Hours::new(h).ok();
    PlainLook {
        stage: Some(Stage::Gel),
        celsius: Celsius::new(celsius).unwrap(),
        dose: dose.map(|dose| DosePercent::new(dose).unwrap()),
        after: hours(after_h),
        by: hours(by_h),
        count,
    }
}

#[track_caller]
pub fn near(what: &str, got: f64, want: f64, relative: f64) {
    assert!((got / want - 1.0).abs() < relative, "{what}: got {got}, want {want} within {relative}");
}

//! Lines of the drawing as SVG paths.

use super::outline::WallPoint;
use super::scale::Scale;
use crate::report::figures::short;
use std::fmt::Write;

/// Both sides of an outline around an axis, closed.
pub(super) fn closed(scale: &Scale, axis_mm: f64, outline: &[WallPoint]) -> String {
    let [right, left] = [1.0, -1.0].map(|sign| side(scale, axis_mm, sign));
    let path = line(outline.iter().map(right).chain(outline.iter().rev().map(left)));
    if path.is_empty() { path } else { path + "Z" }
}

/// The wall of a vessel: from the brim on the left down, along the floor, and up on the right.
pub(super) fn open(scale: &Scale, wall: &[WallPoint]) -> String {
    let [right, left] = [1.0, -1.0].map(|sign| side(scale, 0.0, sign));
    line(wall.iter().rev().map(left).chain(wall.iter().map(right)))
}

/// Straight from one point to the next.
pub(in crate::report) fn line(points: impl IntoIterator<Item = (f64, f64)>) -> String {
    let mut path = String::new();
    for (x, y) in points {
        let word = if path.is_empty() { 'M' } else { 'L' };
        // A String takes everything.
        let _ = write!(path, "{word}{} {}", units(x), units(y));
    }
    path
}

/// A length of the drawing: a tenth of a unit is finer than any printer.
pub(in crate::report) fn units(length: f64) -> String {
    short(length, 1)
}

fn side(scale: &Scale, axis_mm: f64, sign: f64) -> impl Fn(&WallPoint) -> (f64, f64) {
    move |point| (scale.x(axis_mm + sign * point.half_width_mm), scale.y(point.level_mm))
}

//! The inside of a vessel as a line.

use crate::pour::{Section, Shape, Vessel};
use std::f64::consts::PI;

/// Points along the height of a round section: enough that a ball looks round at any size a page has.
const ROUND_STEPS: u32 = 32;

/// So far under the top of a section it is still the section's own width that is asked for, mm.
const WITHIN_MM: f64 = 1e-6;

/// One point of the inner wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WallPoint {
    pub level_mm: f64,
    pub half_width_mm: f64,
}

/// The inner wall on one side between two levels, from the lower one up. Where a wider section stands on a narrower one,
/// or the other way round, the level comes twice.
pub(super) fn wall(vessel: &Vessel, from_mm: f64, to_mm: f64) -> Vec<WallPoint> {
    let sections = vessel.sections();
    let ends = sections.iter().skip(1).map(|section| section.from_mm).chain([vessel.height_mm()]);
    let mut points = Vec::new();
    for (section, end_mm) in sections.iter().zip(ends) {
        let (low, high) = (section.from_mm.max(from_mm), end_mm.min(to_mm));
        if high - low > WITHIN_MM {
            let levels = levels(section, low, high);
            points.extend(levels.map(|level_mm| {
                let asked_mm = level_mm.min(end_mm - WITHIN_MM);
                WallPoint { level_mm, half_width_mm: vessel.half_width_mm(asked_mm) }
            }));
        }
    }
    points
}

/// Levels from `low` to `high` at which the wall is looked at: close together at both ends, where a ball's wall lies
/// nearly flat.
fn levels(section: &Section, low: f64, high: f64) -> impl Iterator<Item = f64> {
    let steps = match section.shape {
        Shape::SpherePart { .. } | Shape::Filled(_) => ROUND_STEPS,
        Shape::Box { .. } | Shape::Cylinder { .. } | Shape::Tapered { .. } | Shape::Prism { .. } => 1,
    };
    (0..=steps).map(move |step| {
        let along = (1.0 - (PI * f64::from(step) / f64::from(steps)).cos()) / 2.0;
        low + (high - low) * along
    })
}

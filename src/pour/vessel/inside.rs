//! The geometry of a section: area, volume, wall and depth, in closed form but for the wall of a measured one.

use crate::pour::MM3_A_ML;
use crate::pour::Monotone;
use std::f64::consts::PI;

/// How the open surface changes with the depth.
pub(super) enum Inside<'s> {
    /// The same at every depth.
    Straight {
        area_mm2: f64,
        perimeter_mm: f64,
    },
    /// A round one whose radius changes evenly.
    Cone {
        bottom_mm: f64,
        top_mm: f64,
        height_mm: f64,
    },
    /// A ball, from a level plane up.
    Ball {
        diameter_mm: f64,
        starts_mm: f64,
    },
    Measured(&'s Monotone),
}

impl Inside<'_> {
    pub(super) fn area_mm2(&self, depth_mm: f64) -> f64 {
        match *self {
            Inside::Straight { area_mm2, .. } => area_mm2,
            Inside::Cone { bottom_mm, top_mm, height_mm } => {
                let share = depth_mm / height_mm;
                PI * (bottom_mm * (1.0 - share) + top_mm * share).powi(2)
            }
            Inside::Ball { diameter_mm, starts_mm } => {
                let above = starts_mm + depth_mm;
                PI * above * (diameter_mm - above).max(0.0)
            }
            Inside::Measured(curve) => curve.slope_at(depth_mm) * MM3_A_ML,
        }
    }

    /// Of cones and balls by the prismoidal formula, V = h/6 · (A(0) + 4 A(h/2) + A(h)): exact where the area is a
    /// quadratic of the depth, and a sum of positive terms, so that nothing cancels.
    pub(super) fn volume_mm3(&self, depth_mm: f64) -> f64 {
        match *self {
            Inside::Straight { area_mm2, .. } => area_mm2 * depth_mm,
            Inside::Cone { .. } | Inside::Ball { .. } => {
                let areas = self.area_mm2(0.0) + 4.0 * self.area_mm2(depth_mm / 2.0) + self.area_mm2(depth_mm);
                depth_mm / 6.0 * areas
            }
            Inside::Measured(curve) => curve.at(depth_mm) * MM3_A_ML,
        }
    }

    /// The wall below `depth_mm`, without the floor.
    ///
    /// Straight: perimeter times depth. A frustum: π (r + s) times its slant. A zone of a ball: π times the ball's diameter
    /// times the zone's height, wherever it lies (Archimedes, On the Sphere and Cylinder). A measured section is taken as a
    /// round one of the same area A: of the surface of revolution 2π ∫ r √(1 + r'²) dz with A = π r² remains
    /// ∫ √(4π A + A'²) dz, which needs no radius; the quadrature is good to 0.1 %.
    pub(super) fn wall_mm2(&self, depth_mm: f64) -> f64 {
        match *self {
            Inside::Straight { perimeter_mm, .. } => perimeter_mm * depth_mm,
            Inside::Cone { bottom_mm, top_mm, height_mm } => {
                let wider_mm = (top_mm - bottom_mm) * (depth_mm / height_mm);
                PI * (2.0 * bottom_mm + wider_mm) * depth_mm.hypot(wider_mm)
            }
            Inside::Ball { diameter_mm, .. } => PI * diameter_mm * depth_mm,
            Inside::Measured(curve) => curve.integral(depth_mm, |slope, bend| {
                let (area_mm2, widens_mm) = (slope * MM3_A_ML, bend * MM3_A_ML);
                (4.0 * PI * area_mm2 + widens_mm.powi(2)).sqrt()
            }),
        }
    }

    /// The depth at which `volume_mm3` stands; by rounding it may lie a little outside the section.
    pub(super) fn depth_mm(&self, volume_mm3: f64) -> f64 {
        match *self {
            Inside::Straight { area_mm2, .. } => volume_mm3 / area_mm2,
            Inside::Cone { bottom_mm, top_mm, height_mm } => {
                // V = π (s³ - r³) / 3k, r and s the radius at the floor and at the surface, s = r + kh. The depth is
                // then taken from V = π h (r² + rs + s²) / 3, which has no k to divide by: it may be 0.
                let growth = (top_mm - bottom_mm) / height_mm;
                let surface = (bottom_mm.powi(3) + 3.0 * growth * volume_mm3 / PI).max(0.0).cbrt();
                3.0 * volume_mm3 / (PI * (bottom_mm.powi(2) + bottom_mm * surface + surface.powi(2)))
            }
            Inside::Ball { diameter_mm, starts_mm } => {
                let cap = Inside::Ball { diameter_mm, starts_mm: 0.0 };
                let above = cap_height_mm(diameter_mm, volume_mm3 + cap.volume_mm3(starts_mm));
                let depth = (above - starts_mm).max(0.0);
                // What taking the cap away has cost in digits, one step of Newton's brings back.
                let area = self.area_mm2(depth);
                if starts_mm > 0.0 && area > 0.0 { depth - (self.volume_mm3(depth) - volume_mm3) / area } else { depth }
            }
            Inside::Measured(curve) => curve.x_of(volume_mm3 / MM3_A_ML),
        }
    }
}

/// How high the cap of `volume_mm3` is that a level plane cuts off the bottom of a ball.
///
/// With x = height over diameter and y = volume over that of the ball, y = 3x² - 2x³; the root of this cubic between 0 and
/// 1 is x = 1/2 - sin(asin(1 - 2y) / 3), here in half angles, where nothing cancels for small caps.
fn cap_height_mm(diameter_mm: f64, volume_mm3: f64) -> f64 {
    let share = (volume_mm3 / (PI / 6.0 * diameter_mm.powi(3))).min(1.0);
    let angle = 2.0 / 3.0 * share.sqrt().asin();
    diameter_mm * ((angle / 2.0).sin().powi(2) + 0.75f64.sqrt() * angle.sin())
}

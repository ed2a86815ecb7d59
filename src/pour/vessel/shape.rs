//! The sections a vessel is made of.

use super::inside::Inside;
use crate::pour::MM3_A_ML;
use crate::pour::Monotone;
use crate::units::{Level, Millimetres};
use std::f64::consts::PI;

/// Sides beyond which a prism is round.
const MOST_SIDES: u32 = 1000;

/// What lengths written in decimals may be off when they are added, in proportion.
const ROUNDING: f64 = 1e-9;

/// The inside of one section of a vessel. Every length is an inner one.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    Box {
        length: Millimetres,
        width: Millimetres,
        height: Millimetres,
    },
    Cylinder {
        diameter: Millimetres,
        height: Millimetres,
    },
    /// A frustum of a round cone, wider at either end.
    Tapered {
        bottom_diameter: Millimetres,
        top_diameter: Millimetres,
        height: Millimetres,
    },
    /// A regular prism; `across_flats` is twice the distance from the axis to a side.
    Prism {
        sides: u32,
        across_flats: Millimetres,
        height: Millimetres,
    },
    /// What two level planes cut out of a ball: `starts` above the ball's lowest point, `height` tall.
    SpherePart {
        diameter: Millimetres,
        starts: Level,
        height: Millimetres,
    },
    /// Water poured against depth, measured: mL over mm, through (0, 0).
    Filled(Monotone),
}

/// Figures that make no shape.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum ShapeFault {
    #[error("a prism cannot have {0} sides: give 3 to {MOST_SIDES}, and for more take a cylinder")]
    Sides(u32),
    #[error(
        "this part of a ball would end {ends_mm:.3} mm above the ball's lowest point, but the ball is {diameter_mm} mm \
         across: where the part starts and its height may together be at most {diameter_mm} mm"
    )]
    BeyondBall { ends_mm: f64, diameter_mm: f64 },
}

impl Shape {
    /// A regular prism of 3 to 1000 sides; `across_flats` is twice the distance from the axis to a side.
    pub fn prism(sides: u32, across_flats: Millimetres, height: Millimetres) -> Result<Self, ShapeFault> {
        Self::Prism { sides, across_flats, height }.checked()
    }

    /// What two level planes cut out of a ball; both must meet the ball.
    pub fn sphere_part(diameter: Millimetres, starts: Level, height: Millimetres) -> Result<Self, ShapeFault> {
        Self::SpherePart { diameter, starts, height }.checked()
    }

    fn checked(self) -> Result<Self, ShapeFault> {
        self.check()?;
        Ok(self)
    }

    /// Whether there can be such a shape.
    pub fn check(&self) -> Result<(), ShapeFault> {
        match self {
            Shape::Prism { sides, .. } if !(3..=MOST_SIDES).contains(sides) => Err(ShapeFault::Sides(*sides)),
            Shape::SpherePart { diameter, starts, height } => {
                let (ends_mm, diameter_mm) = (starts.get() + height.get(), diameter.get());
                if ends_mm > diameter_mm * (1.0 + ROUNDING) {
                    return Err(ShapeFault::BeyondBall { ends_mm, diameter_mm });
                }
                Ok(())
            }
            _ => Ok(()),
        }
    }

    pub fn height_mm(&self) -> f64 {
        match self {
            Shape::Box { height, .. }
            | Shape::Cylinder { height, .. }
            | Shape::Tapered { height, .. }
            | Shape::Prism { height, .. }
            | Shape::SpherePart { height, .. } => height.get(),
            Shape::Filled(curve) => curve.end(),
        }
    }

    pub fn volume_ml(&self) -> f64 {
        self.volume_below_ml(self.height_mm())
    }

    /// What the section holds up to `depth_mm` above its own floor.
    pub(super) fn volume_below_ml(&self, depth_mm: f64) -> f64 {
        self.inside().volume_mm3(depth_mm.clamp(0.0, self.height_mm())) / MM3_A_ML
    }

    /// The wall of the section up to `depth_mm` above its own floor, without the floor.
    pub(super) fn wall_below_mm2(&self, depth_mm: f64) -> f64 {
        self.inside().wall_mm2(depth_mm.clamp(0.0, self.height_mm()))
    }

    /// How deep `volume_ml` stands in the section, at most its height.
    pub(super) fn depth_of_mm(&self, volume_ml: f64) -> f64 {
        self.inside().depth_mm(volume_ml.max(0.0) * MM3_A_ML).clamp(0.0, self.height_mm())
    }

    pub(super) fn area_mm2(&self, depth_mm: f64) -> f64 {
        self.inside().area_mm2(depth_mm.clamp(0.0, self.height_mm()))
    }

    /// Half the length of a box, half the distance from corner to opposite corner of a prism's circle, the radius of what
    /// is round; of a filled one the radius of a round one of the same area.
    pub(super) fn half_width_mm(&self, depth_mm: f64) -> f64 {
        match self {
            Shape::Box { length, .. } => length.get() / 2.0,
            Shape::Prism { sides, across_flats, .. } => corner_radius_mm(*sides, *across_flats),
            _ => (self.area_mm2(depth_mm) / PI).sqrt(),
        }
    }

    /// Whether something that is this wide in x and y could stand in the section at all.
    pub(super) fn takes(&self, spans_mm: [f64; 2]) -> bool {
        let [x, y] = spans_mm;
        let within = |span: f64, room: f64| span <= room * (1.0 + ROUNDING);
        let widest = match self {
            Shape::Box { length, width, .. } => {
                let (length, width) = (length.get(), width.get());
                return within(x, length) && within(y, width) || within(x, width) && within(y, length);
            }
            // Its outline is not known.
            Shape::Filled(_) => return true,
            Shape::Prism { sides, across_flats, .. } => {
                // With an odd number no corner lies opposite another.
                let lean = if sides % 2 == 0 { 0.0 } else { PI / (2.0 * f64::from(*sides)) };
                2.0 * corner_radius_mm(*sides, *across_flats) * lean.cos()
            }
            Shape::SpherePart { diameter, starts, height } => {
                let middle = diameter.get() / 2.0 - starts.get();
                2.0 * self.half_width_mm(middle.clamp(0.0, height.get()))
            }
            Shape::Cylinder { .. } | Shape::Tapered { .. } => {
                2.0 * self.half_width_mm(0.0).max(self.half_width_mm(self.height_mm()))
            }
        };
        within(x.max(y), widest)
    }

    fn inside(&self) -> Inside<'_> {
        match self {
            Shape::Box { length, width, .. } => {
                let (length, width) = (length.get(), width.get());
                Inside::Straight { area_mm2: length * width, perimeter_mm: 2.0 * (length + width) }
            }
            Shape::Cylinder { diameter, .. } => {
                let diameter = diameter.get();
                Inside::Straight { area_mm2: PI * (diameter / 2.0).powi(2), perimeter_mm: PI * diameter }
            }
            Shape::Prism { sides, across_flats, .. } => {
                let (sides, apothem) = (f64::from(*sides), across_flats.get() / 2.0);
                let perimeter_mm = 2.0 * sides * apothem * (PI / sides).tan();
                Inside::Straight { area_mm2: perimeter_mm * apothem / 2.0, perimeter_mm }
            }
            Shape::Tapered { bottom_diameter, top_diameter, height } => Inside::Cone {
                bottom_mm: bottom_diameter.get() / 2.0,
                top_mm: top_diameter.get() / 2.0,
                height_mm: height.get(),
            },
            Shape::SpherePart { diameter, starts, .. } => {
                Inside::Ball { diameter_mm: diameter.get(), starts_mm: starts.get() }
            }
            Shape::Filled(curve) => Inside::Measured(curve),
        }
    }
}

/// From the axis of a regular prism to a corner.
fn corner_radius_mm(sides: u32, across_flats: Millimetres) -> f64 {
    across_flats.get() / 2.0 / (PI / f64::from(sides)).cos()
}

//! From millimetres to the units of the drawing.

/// Widest and highest a vessel is drawn, in units of the drawing.
const WIDEST: f64 = 320.0;
const HIGHEST: f64 = 460.0;
/// A flat vessel is drawn at least so high, a slim one so wide: otherwise nothing would be seen in it.
const LEAST_HEIGHT: f64 = 130.0;
const LEAST_WIDTH: f64 = 70.0;

/// Where a level and a distance from the axis lie in the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    across: f64,
    along: f64,
    axis_x: f64,
    floor_y: f64,
}

/// Units a millimetre, across and along the height.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Sizing {
    across: f64,
    along: f64,
}

impl Sizing {
    /// For a vessel `half_width_mm` wide at most to each side.
    pub fn new(half_width_mm: f64, height_mm: f64) -> Self {
        let true_to_both = (WIDEST / 2.0 / half_width_mm).min(HIGHEST / height_mm);
        Self {
            across: true_to_both.max(LEAST_WIDTH / 2.0 / half_width_mm),
            along: true_to_both.max(LEAST_HEIGHT / height_mm),
        }
    }

    pub fn height(&self, height_mm: f64) -> f64 {
        height_mm * self.along
    }

    pub fn placed(self, axis_x: f64, floor_y: f64) -> Scale {
        Scale { across: self.across, along: self.along, axis_x, floor_y }
    }

    /// How much larger heights are drawn than widths; below 1 it is the other way round.
    pub fn stretch(&self) -> f64 {
        self.along / self.across
    }
}

impl Scale {
    pub fn x(&self, from_axis_mm: f64) -> f64 {
        self.axis_x + from_axis_mm * self.across
    }

    pub fn y(&self, level_mm: f64) -> f64 {
        self.floor_y - level_mm * self.along
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_vessel_is_drawn_true_unless_it_is_very_flat_or_slim() {
        assert!((Sizing::new(50.0, 100.0).stretch() - 1.0).abs() < 1e-12);
        assert!(Sizing::new(500.0, 20.0).stretch() > 10.0);
        assert!(Sizing::new(10.0, 800.0).stretch() < 0.5);
        let scale = Sizing::new(50.0, 100.0).placed(200.0, 500.0);
        assert!((scale.x(50.0) - 360.0).abs() < 1e-9 && (scale.y(100.0) - 180.0).abs() < 1e-9);
    }
}

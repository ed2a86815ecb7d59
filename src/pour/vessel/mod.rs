//! The inside of a vessel: volume to depth and depth to volume.

mod inside;
mod shape;
#[cfg(test)]
pub(super) mod tests;

pub use shape::{Shape, ShapeFault};

/// A volume this little above what the vessel holds, in proportion, is rounding: it stands at the brim.
const BRIMFUL: f64 = 1e-12;

/// One section, and the level at which its floor lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Section {
    pub shape: Shape,
    pub from_mm: f64,
}

/// A stack of sections, from the floor up.
#[derive(Debug, Clone, PartialEq)]
pub struct Vessel {
    sections: Vec<Section>,
}

impl Vessel {
    /// Stacks `shapes` from the floor up. `None` where there are none, or one of them cannot be ([`Shape::check`]).
    pub fn stack(shapes: impl IntoIterator<Item = Shape>) -> Option<Self> {
        let mut top = 0.0;
        let mut sections = Vec::new();
        for shape in shapes {
            shape.check().ok()?;
            let from_mm = top;
            top += shape.height_mm();
            sections.push(Section { shape, from_mm });
        }
        (!sections.is_empty()).then_some(Self { sections })
    }

    pub fn sections(&self) -> &[Section] {
        &self.sections
    }

    /// The brim, mm above the floor.
    pub fn height_mm(&self) -> f64 {
        let last = &self.sections[self.sections.len() - 1];
        last.from_mm + last.shape.height_mm()
    }

    /// What the vessel holds below `level_mm`, which is taken into the range from floor to brim.
    pub fn volume_below_ml(&self, level_mm: f64) -> f64 {
        self.sections.iter().map(|section| section.shape.volume_below_ml(level_mm - section.from_mm)).sum()
    }

    /// The side wall that is wetted up to `level_mm`, which is taken into the range from floor to brim, mm².
    ///
    /// The floor is not counted, nor are level steps between sections; of a ball that begins at its lowest point and of a
    /// filled section that begins in a point all is wall. A filled section counts as a round one of the same area.
    pub fn wall_below_mm2(&self, level_mm: f64) -> f64 {
        self.sections.iter().map(|section| section.shape.wall_below_mm2(level_mm - section.from_mm)).sum()
    }

    /// The level at which `volume_ml` stands; `None` above the brim.
    pub fn level_of_mm(&self, volume_ml: f64) -> Option<f64> {
        let mut below_ml = 0.0;
        for Section { shape, from_mm } in &self.sections {
            let up_to_its_top = below_ml + shape.volume_ml();
            if volume_ml <= up_to_its_top {
                return Some(from_mm + shape.depth_of_mm(volume_ml - below_ml));
            }
            below_ml = up_to_its_top;
        }
        (volume_ml <= below_ml * (1.0 + BRIMFUL)).then(|| self.height_mm())
    }

    /// The open surface at `level_mm`, mm²; at a step between sections that of the upper one.
    pub fn area_mm2(&self, level_mm: f64) -> f64 {
        let section = self.section_at(level_mm);
        section.shape.area_mm2(level_mm - section.from_mm)
    }

    /// Half the width at `level_mm` as it is drawn in section, mm: half the length of a box, the radius of what is round,
    /// the distance from axis to corner of a prism; of a filled section the radius of a round one of the same area.
    pub fn half_width_mm(&self, level_mm: f64) -> f64 {
        let section = self.section_at(level_mm);
        section.shape.half_width_mm(level_mm - section.from_mm)
    }

    /// Whether something that is this wide in x and y can stand in the vessel at all, as far as two widths can tell.
    ///
    /// A box takes it lengthwise or crosswise; of what is round or has corners only the widest place is held against the
    /// wider of the two, because the thing may be round itself; a filled section takes everything, its outline is unknown.
    pub fn fits_spans(&self, spans_mm: [f64; 2]) -> bool {
        self.sections.iter().any(|section| section.shape.takes(spans_mm))
    }

    fn section_at(&self, level_mm: f64) -> &Section {
        let after = self.sections.partition_point(|section| section.from_mm <= level_mm);
        &self.sections[after.saturating_sub(1)]
    }
}

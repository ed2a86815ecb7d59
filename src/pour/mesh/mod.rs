//! A closed triangle mesh: how much of it lies below a level.

mod closed;
mod fault;
mod slices;
#[cfg(test)]
pub(super) mod testing;
#[cfg(test)]
mod tests;

pub use fault::MeshFault;

use super::MM3_A_ML;
use super::monotone::Monotone;
use slices::{Face, Slices};

/// Three corners, counter-clockwise where seen from outside, in a file's own unit.
type Triangle = [[f32; 3]; 3];

/// Millimetres a unit beyond which a scale is a slip: a unit of 100 m.
const LARGEST_SCALE: f64 = 1e5;

/// A body whose volume is no more than this of what its faces add and take away is none: the rest is rounding.
const ROUNDING: f64 = 1e-12;

/// Heights in the table of a mesh.
const TABLE_HEIGHTS: u32 = 200;

/// A closed, outward-facing mesh, mm, its lowest point at height 0.
///
/// It is known to close, and its faces to agree on which side is out. That it does not cut through itself, and that no part
/// of it stands inside out on its own, is not checked: what lies in two parts of such a mesh counts twice.
#[derive(Debug, Clone)]
pub struct Mesh {
    slices: Slices,
    spans_mm: [f64; 3],
    whole_mm3: f64,
}

impl Mesh {
    /// Checks that the triangles close (every edge is shared by as many faces one way as the other) and scales them:
    /// `scale` millimetres a unit of the file. Where all of it is inside out, it is turned round.
    pub fn new(triangles: &[[[f32; 3]; 3]], scale: f64) -> Result<Self, MeshFault> {
        if !(scale > 0.0 && scale <= LARGEST_SCALE) {
            return Err(MeshFault::Scale(scale));
        }
        if triangles.is_empty() {
            return Err(MeshFault::Empty);
        }
        let odd = |triangle: &Triangle| !triangle.iter().flatten().all(|coordinate| coordinate.is_finite());
        if let Some(place) = triangles.iter().position(odd) {
            return Err(MeshFault::NotFinite { triangle: place + 1 });
        }
        closed::check_closed(triangles)?;
        let (low, high) = bounds(triangles);
        let mut faces: Vec<Face> = triangles.iter().filter_map(|triangle| face(triangle, low[2], scale)).collect();
        let (mut signed_mm3, mut passed_mm3) = (0.0, 0.0);
        for face in &faces {
            signed_mm3 += face.area_mm2 * face.mean_z();
            passed_mm3 += face.area_mm2.abs() * face.z[2];
        }
        if signed_mm3.abs() <= passed_mm3 * ROUNDING {
            return Err(MeshFault::Flat);
        }
        if signed_mm3 < 0.0 {
            for face in &mut faces {
                face.area_mm2 = -face.area_mm2;
            }
        }
        let slices = Slices::new(faces);
        let whole_mm3 = slices.whole_mm3();
        Ok(Self { slices, spans_mm: [0, 1, 2].map(|axis| (high[axis] - low[axis]) * scale), whole_mm3 })
    }

    pub fn height_mm(&self) -> f64 {
        self.spans_mm[2]
    }

    /// Widths in x and y, mm.
    pub fn spans_mm(&self) -> [f64; 2] {
        [self.spans_mm[0], self.spans_mm[1]]
    }

    pub fn volume_ml(&self) -> f64 {
        self.whole_mm3 / MM3_A_ML
    }

    /// What of it lies below `height_mm` above its own lowest point.
    pub fn volume_below_ml(&self, height_mm: f64) -> f64 {
        if height_mm >= self.height_mm() {
            return self.volume_ml();
        }
        self.slices.below_mm3(height_mm.max(0.0)).clamp(0.0, self.whole_mm3) / MM3_A_ML
    }

    /// What lies below against the height, mm and mL, at 200 heights: close enough for a plan where the mesh itself is
    /// gone. Heights at which nothing is added, as between two parts one above the other, are left out.
    pub fn table(&self) -> Monotone {
        let (height_mm, whole_ml) = (self.height_mm(), self.volume_ml());
        let least_ml = whole_ml * ROUNDING;
        let mut last_ml = 0.0;
        let inner = (1..TABLE_HEIGHTS).filter_map(|i| {
            let at_mm = height_mm * f64::from(i) / f64::from(TABLE_HEIGHTS);
            let below_ml = self.volume_below_ml(at_mm);
            let rises = below_ml - last_ml > least_ml && whole_ml - below_ml > least_ml;
            rises.then(|| {
                last_ml = below_ml;
                (at_mm, below_ml)
            })
        });
        Monotone::rising(inner.chain([(height_mm, whole_ml)]))
    }
}

/// The lowest and the highest coordinate on each axis. A triangle that collapsed may lie anywhere: it is no part of the body.
#[expect(clippy::float_cmp, reason = "corners are the same where they are exactly the same")]
fn bounds(triangles: &[Triangle]) -> ([f64; 3], [f64; 3]) {
    let (mut low, mut high) = ([f32::INFINITY; 3], [f32::NEG_INFINITY; 3]);
    let spread = triangles.iter().filter(|[a, b, c]| a != b && b != c && c != a);
    for corner in spread.flatten() {
        for axis in 0..3 {
            low[axis] = low[axis].min(corner[axis]);
            high[axis] = high[axis].max(corner[axis]);
        }
    }
    (low.map(f64::from), high.map(f64::from))
}

/// Heights are taken above `lowest`, and edges before they are multiplied, so that it costs no digits where a mesh lies far
/// from its file's origin. `None` for a face that stands upright: it has no shadow.
fn face(triangle: &Triangle, lowest: f64, scale: f64) -> Option<Face> {
    let [a, b, c] = triangle.map(|corner| corner.map(f64::from));
    let twice = (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
    let mut z = [a, b, c].map(|corner| (corner[2] - lowest) * scale);
    z.sort_unstable_by(f64::total_cmp);
    (twice != 0.0).then_some(Face { area_mm2: twice / 2.0 * scale * scale, z })
}

//! How much of a body lies below a level, from what its faces are seen from above.
//!
//! By the divergence theorem with F = (0, 0, z - h), whose divergence is 1, the volume below the level h is the sum over
//! all faces, cut off at h, of signed projected area times (mean z - h). The lid at h adds nothing, for z = h on it; so it
//! need not be built. Of a triangle only its projected area and the heights of its corners matter.

/// A triangle as this sum sees it: `area_mm2` is that of its shadow, below 0 where it looks down; `z` rises.
#[derive(Debug, Clone, Copy)]
pub(super) struct Face {
    pub area_mm2: f64,
    pub z: [f64; 3],
}

impl Face {
    pub(super) fn mean_z(&self) -> f64 {
        (self.z[0] + self.z[1] + self.z[2]) / 3.0
    }

    /// What the part below `h` of a face that reaches above it adds to the volume.
    ///
    /// The corner that a level cuts off a triangle has the share d² / (a b) of its area, where d is the corner's height over
    /// the level and a, b its heights over the other two corners; its mean height over the level is d / 3.
    fn part_below(&self, h: f64) -> f64 {
        let [low, middle, high] = self.z;
        let corner = |tip: f64, a: f64, b: f64| (tip / a) * (tip / b) * (tip / 3.0);
        if h < middle {
            -self.area_mm2 * corner(h - low, middle - low, high - low)
        } else {
            self.area_mm2 * (self.mean_z() - h - corner(high - h, high - low, high - middle))
        }
    }
}

/// Projected area, and that times the mean height, of all faces up to some place.
#[derive(Debug, Clone, Copy, Default)]
struct Sum {
    area_mm2: f64,
    moment_mm3: f64,
}

/// So many faces are passed over at once where none of them reaches down to the level.
const BLOCK: usize = 64;

/// The faces of a closed body by their highest corner, and sums over those that end below.
#[derive(Debug, Clone)]
pub(super) struct Slices {
    faces: Vec<Face>,
    /// One more than faces: the sum of all before each.
    sums: Vec<Sum>,
    /// The lowest corner of each block of faces.
    lowest: Vec<f64>,
}

impl Slices {
    pub(super) fn new(mut faces: Vec<Face>) -> Self {
        faces.sort_unstable_by(|a, b| a.z[2].total_cmp(&b.z[2]));
        let mut sum = Sum::default();
        let mut sums = Vec::with_capacity(faces.len() + 1);
        sums.push(sum);
        for face in &faces {
            sum.area_mm2 += face.area_mm2;
            sum.moment_mm3 += face.area_mm2 * face.mean_z();
            sums.push(sum);
        }
        let lowest = faces.chunks(BLOCK).map(|block| block.iter().map(|face| face.z[0]).fold(f64::INFINITY, f64::min));
        let lowest = lowest.collect();
        Self { faces, sums, lowest }
    }

    /// The whole volume.
    pub(super) fn whole_mm3(&self) -> f64 {
        self.sums[self.faces.len()].moment_mm3
    }

    /// The volume below `h`.
    pub(super) fn below_mm3(&self, h: f64) -> f64 {
        let below = self.faces.partition_point(|face| face.z[2] <= h);
        let whole = self.sums[below];
        let blocks = self.lowest.iter().enumerate().skip(below / BLOCK).filter(|(_, lowest)| **lowest < h);
        let cut = blocks.flat_map(|(block, _)| {
            let end = self.faces.len().min((block + 1) * BLOCK);
            self.faces[below.max(block * BLOCK)..end].iter().filter(|face| face.z[0] < h)
        });
        whole.moment_mm3 - h * whole.area_mm2 + cut.map(|face| face.part_below(h)).sum::<f64>()
    }
}

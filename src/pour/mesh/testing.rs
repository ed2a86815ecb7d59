//! Bodies for the tests, as triangles.

use super::Triangle;
use std::collections::HashMap;

/// Triangles from corners and the corners' numbers.
pub fn of(corners: &[[f32; 3]], faces: &[[usize; 3]]) -> Vec<Triangle> {
    faces.iter().map(|face| face.map(|corner| corners[corner])).collect()
}

/// An upright prism over `outline`, which runs counter-clockwise and is cut into `floor`, triangles likewise; `holes` run
/// clockwise. Corners are numbered through the outline and then the holes.
pub fn prism(outline: &[[f32; 2]], holes: &[&[[f32; 2]]], floor: &[[usize; 3]], from: f32, to: f32) -> Vec<Triangle> {
    let rings: Vec<&[[f32; 2]]> = [outline].into_iter().chain(holes.iter().copied()).collect();
    let flat: Vec<[f32; 2]> = rings.concat();
    let at = |corner: usize, z: f32| [flat[corner][0], flat[corner][1], z];
    let mut triangles = Vec::new();
    for &[a, b, c] in floor {
        triangles.push([at(a, from), at(c, from), at(b, from)]);
        triangles.push([at(a, to), at(b, to), at(c, to)]);
    }
    let mut first = 0;
    for ring in rings {
        for i in 0..ring.len() {
            let (a, b) = (first + i, first + (i + 1) % ring.len());
            triangles.push([at(a, from), at(b, from), at(b, to)]);
            triangles.push([at(a, from), at(b, to), at(a, to)]);
        }
        first += ring.len();
    }
    triangles
}

/// A convex prism; the floor is cut from its first corner.
pub fn convex_prism(outline: &[[f32; 2]], from: f32, to: f32) -> Vec<Triangle> {
    let floor: Vec<[usize; 3]> = (1..outline.len() - 1).map(|i| [0, i, i + 1]).collect();
    prism(outline, &[], &floor, from, to)
}

pub fn cuboid(low: [f32; 3], high: [f32; 3]) -> Vec<Triangle> {
    let outline = [[low[0], low[1]], [high[0], low[1]], [high[0], high[1]], [low[0], high[1]]];
    convex_prism(&outline, low[2], high[2])
}

#[expect(clippy::cast_possible_truncation, reason = "coordinates are rounded to what a file holds")]
pub fn single(x: f64) -> f32 {
    x as f32
}

const AXES: [[f64; 3]; 6] =
    [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [-1.0, 0.0, 0.0], [0.0, -1.0, 0.0], [0.0, 0.0, 1.0], [0.0, 0.0, -1.0]];
const OCTAHEDRON: [[usize; 3]; 8] =
    [[0, 1, 4], [1, 2, 4], [2, 3, 4], [3, 0, 4], [1, 0, 5], [2, 1, 5], [3, 2, 5], [0, 3, 5]];

/// The octahedron with its corners at ±`radius` on the axes.
pub fn octahedron(radius: f32) -> Vec<Triangle> {
    of(&AXES.map(|axis| axis.map(|x| single(x) * radius)), &OCTAHEDRON)
}

/// A body around the origin, an octahedron cut `cuts` times into four a face, each corner `radius` of its number and its
/// direction away: seen from the origin no face hides another, so it does not cut through itself.
pub fn star(cuts: u32, radius: impl Fn(usize, [f64; 3]) -> f64) -> Vec<Triangle> {
    let mut directions = AXES.to_vec();
    let mut faces = OCTAHEDRON.to_vec();
    for _ in 0..cuts {
        let mut halves: HashMap<(usize, usize), usize> = HashMap::new();
        let mut half = |a: usize, b: usize| {
            *halves.entry((a.min(b), a.max(b))).or_insert_with(|| {
                let sum = [0, 1, 2].map(|i| directions[a][i] + directions[b][i]);
                let length = sum.iter().map(|x| x * x).sum::<f64>().sqrt();
                directions.push(sum.map(|x| x / length));
                directions.len() - 1
            })
        };
        let cut = faces.iter().flat_map(|&[a, b, c]| {
            let (ab, bc, ca) = (half(a, b), half(b, c), half(c, a));
            [[a, ab, ca], [ab, b, bc], [ca, bc, c], [ab, bc, ca]]
        });
        faces = cut.collect();
    }
    let corner = |(number, direction): (usize, &[f64; 3])| direction.map(|x| single(x * radius(number, *direction)));
    let corners: Vec<[f32; 3]> = directions.iter().enumerate().map(corner).collect();
    of(&corners, &faces)
}

/// `triangles` with every corner moved by `by`.
pub fn moved(triangles: &[Triangle], by: [f32; 3]) -> Vec<Triangle> {
    triangles.iter().map(|t| t.map(|corner| [0, 1, 2].map(|axis| corner[axis] + by[axis]))).collect()
}

/// `triangles` seen from inside.
pub fn turned(triangles: &[Triangle]) -> Vec<Triangle> {
    triangles.iter().map(|&[a, b, c]| [a, c, b]).collect()
}

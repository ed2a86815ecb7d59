//! Whether triangles close around a volume.
//!
//! Corners are the same where their coordinates are exactly the same. Files hold the same 32-bit figures for every triangle
//! that meets in a corner, so nothing has to be pulled together, and no true gap is closed by a tolerance.

use super::Triangle;
use super::fault::MeshFault;

/// An edge without its direction: its corners' numbers, the lower one in the upper half.
type Edge = u64;

/// Every edge must be passed by as many faces one way as the other.
///
/// An edge with an odd number of faces is open, whichever way they look. With an even one, the faces contradict each other.
/// An edge of a triangle that collapsed to fewer corners either has no length or is passed there and back by that triangle
/// alone, and thus never counts.
pub(super) fn check_closed(triangles: &[Triangle]) -> Result<(), MeshFault> {
    let corners = corner_numbers(triangles);
    let (open, contradictory) = unbalanced(&corners);
    let first = |edges: &[Edge]| {
        let mut passed = (0..).zip(corners.chunks_exact(3)).flat_map(|(triangle, corners)| {
            (0..3).map(move |side| (triangle, side, edge(corners[side], corners[(side + 1) % 3])))
        });
        let found = passed.find(|(_, _, edge)| edges.binary_search(edge).is_ok());
        found.map(|(triangle, side, _)| middle(&triangles[triangle], side))
    };
    if let Some(at) = first(&open) {
        return Err(MeshFault::Open { at, count: open.len() });
    }
    match first(&contradictory) {
        Some(at) => Err(MeshFault::InsideOut { at, count: contradictory.len() }),
        None => Ok(()),
    }
}

/// A number for each corner of each triangle in turn, the same for the same coordinates.
fn corner_numbers(triangles: &[Triangle]) -> Vec<u32> {
    // Sorting beats a hash table here, and no file can make it slow. The place goes along in the lowest bits.
    let places = triangles.iter().flatten().zip(0u32..);
    let mut sorted: Vec<u128> = places.map(|(corner, place)| key(*corner) << 32 | u128::from(place)).collect();
    sorted.sort_unstable();
    let mut numbers = vec![0; sorted.len()];
    let same = sorted.chunk_by(|a, b| a >> 32 == b >> 32);
    for (number, places) in (0..).zip(same) {
        for &place in places {
            numbers[(place & u128::from(u32::MAX)) as usize] = number;
        }
    }
    numbers
}

fn key(corner: [f32; 3]) -> u128 {
    // Adding 0 makes -0 the same as 0.
    corner.iter().fold(0, |key, coordinate| key << 32 | u128::from((coordinate + 0.0).to_bits()))
}

fn edge(from: u32, to: u32) -> Edge {
    u64::from(from.min(to)) << 32 | u64::from(from.max(to))
}

/// The edges with an odd number of faces, and those with an even one whose directions do not cancel; both sorted.
fn unbalanced(corners: &[u32]) -> (Vec<Edge>, Vec<Edge>) {
    // The direction goes into the lowest bit; there are fewer than 2^31 corners in all the memory there is.
    let mut passes: Vec<u64> = Vec::with_capacity(corners.len());
    for triangle in corners.chunks_exact(3) {
        for side in 0..3 {
            let (from, to) = (triangle[side], triangle[(side + 1) % 3]);
            if from != to {
                passes.push(edge(from, to) << 1 | u64::from(from < to));
            }
        }
    }
    passes.sort_unstable();
    let (mut open, mut contradictory) = (Vec::new(), Vec::new());
    for same in passes.chunk_by(|a, b| a >> 1 == b >> 1) {
        let upward = same.iter().filter(|pass| *pass & 1 == 1).count();
        if same.len() % 2 == 1 {
            open.push(same[0] >> 1);
        } else if 2 * upward != same.len() {
            contradictory.push(same[0] >> 1);
        }
    }
    (open, contradictory)
}

/// The middle of the side of `triangle` that begins at corner `side`.
fn middle(triangle: &Triangle, side: usize) -> [f64; 3] {
    let (from, to) = (triangle[side], triangle[(side + 1) % 3]);
    [0, 1, 2].map(|axis| f64::midpoint(f64::from(from[axis]), f64::from(to[axis])))
}

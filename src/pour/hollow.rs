//! What the heat model asks of a piece: its room level by level, its items, what stands round it.

use super::piece::{Piece, Walls};
use super::space::Space;
use super::vessel::{Shape, Vessel};
use crate::heat::{Face, Hollow, HollowPoint, ItemWatch, Surroundings, Wall, WallMaterial};

const M_A_MM: f64 = 1e-3;
const M2_A_MM2: f64 = 1e-6;
const M3_A_ML: f64 = 1e-6;

/// A vessel is cut into slabs of a millimetre, but into at least and at most so many. With a hundred, straight lines between
/// the slabs stay within 0.1 % of the whole for cones and balls.
const FEWEST_SLABS: u32 = 100;
const MOST_SLABS: u32 = 1000;

/// Levels closer than this share of a slab are one: what lies between them would be lost in rounding.
const SAME: f64 = 0.01;

/// Still air, W/(m² K): an own working value. Textbooks give 2 to 25 for free convection of gases (F. P. Incropera and
/// others, Fundamentals of Heat and Mass Transfer, table 1.1; from memory).
const STILL_AIR_W_PER_M2K: f64 = 5.0;

/// Resin, and whatever a vessel is made of here (glass, wood, plastics are all about 0.9; tables of textbooks, from memory).
const EMISSIVITY: f64 = 0.9;

/// Thin and light, so that little heat goes into it: the careful side where nothing is known.
const UNKNOWN_WALL: Wall = Wall { material: WallMaterial::Polyethylene, thickness_m: 0.002 };

/// The inside of the piece's vessel from floor to brim, its items in place.
///
/// Points lie at every boundary between sections, every row of a water table and every item's bottom and top, and no further
/// apart than a hundredth of the height. Only items whose specific heat is known count as items; one whose is not is taken
/// as resin, which heats itself: the careful side. `None` where the vessel is too small to be told from nothing.
pub fn hollow(piece: &Piece) -> Option<Hollow> {
    Hollow::new(points(piece))
}

/// Where the piece's items lie, in their order in the piece.
pub fn item_watches(piece: &Piece) -> Vec<ItemWatch> {
    let watch = |item: &super::Item| ItemWatch { from_m: item.from.get() * M_A_MM, to_m: item.to_mm() * M_A_MM };
    piece.items.iter().map(watch).collect()
}

/// The room and the vessel's walls: still air above and beside, and a wooden bench below, which takes about as much as air
/// does but shows no open face (own working value). A wall that is not known is of 2 mm of polyethylene.
pub fn surroundings(piece: &Piece) -> Surroundings {
    let air = Face { convection_w_per_m2k: STILL_AIR_W_PER_M2K, emissivity: EMISSIVITY };
    let wall = |thickness: fn(&Walls) -> f64| {
        let known = |walls: &Walls| Wall { material: walls.material, thickness_m: thickness(walls) * M_A_MM };
        Some(piece.walls.as_ref().map_or(UNKNOWN_WALL, known))
    };
    Surroundings {
        top: air,
        below: Face { emissivity: 0.0, ..air },
        base: wall(|walls| walls.base.get()),
        side: air,
        side_wall: wall(|walls| walls.side.get()),
    }
}

fn points(piece: &Piece) -> Vec<HollowPoint> {
    let mut points: Vec<HollowPoint> = Vec::new();
    for here in levels_mm(piece).into_iter().map(|level_mm| point(piece, level_mm)) {
        let Some(below) = points.last() else {
            points.push(here);
            continue;
        };
        if here.volume_m3 > below.volume_m3 {
            // Rounding must not make any of it fall.
            let (wall_m2, resin_m3) = (here.wall_m2.max(below.wall_m2), here.resin_m3.max(below.resin_m3));
            let items_j_per_k = here.items_j_per_k.max(below.items_j_per_k);
            points.push(HollowPoint { wall_m2, resin_m3, items_j_per_k, ..here });
        }
    }
    points
}

fn point(piece: &Piece, level_mm: f64) -> HollowPoint {
    let volume_ml = piece.vessel.volume_below_ml(level_mm);
    let (mut known_ml, mut items_j_per_k) = (0.0, 0.0);
    for item in &piece.items {
        if let Some(j_per_ml_k) = item.heat_capacity_j_per_ml_k() {
            let below_ml = item.displaced_below_ml(level_mm);
            known_ml += below_ml;
            items_j_per_k += below_ml * j_per_ml_k;
        }
    }
    HollowPoint {
        level_m: level_mm * M_A_MM,
        volume_m3: volume_ml * M3_A_ML,
        wall_m2: piece.vessel.wall_below_mm2(level_mm) * M2_A_MM2,
        resin_m3: (volume_ml - known_ml) * M3_A_ML,
        items_j_per_k,
    }
}

/// Floor and brim, and what lies between them, rising.
fn levels_mm(piece: &Piece) -> Vec<f64> {
    let brim_mm = piece.vessel.height_mm();
    let slabs = (FEWEST_SLABS..MOST_SLABS).find(|slabs| f64::from(*slabs) >= brim_mm).unwrap_or(MOST_SLABS);
    let slab_mm = brim_mm / f64::from(slabs);
    let mut levels: Vec<f64> = (0..slabs).map(|slab| f64::from(slab) * slab_mm).collect();
    levels.extend(Space::new(&piece.vessel, &piece.items).breaks());
    levels.extend(rows_mm(&piece.vessel));
    levels.sort_unstable_by(f64::total_cmp);
    levels.retain(|level| brim_mm - level > slab_mm * SAME);
    levels.dedup_by(|upper, lower| *upper - *lower <= slab_mm * SAME);
    levels.push(brim_mm);
    levels
}

/// The rows of water tables: between them a measured vessel may widen as it likes.
fn rows_mm(vessel: &Vessel) -> impl Iterator<Item = f64> {
    vessel.sections().iter().flat_map(|section| {
        let rows = match &section.shape {
            Shape::Filled(curve) => Some(curve.points()),
            _ => None,
        };
        rows.into_iter().flatten().map(|(depth_mm, _)| section.from_mm + depth_mm)
    })
}

#[cfg(test)]
mod tests;

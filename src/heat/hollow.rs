//! The room the resin stands in: volume, wall, resin and embedded items below every level.

use crate::units::Millimetres;

/// What lies below a level, from the inside of the floor up. Every figure but the level is cumulative.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct HollowPoint {
    /// Above the inside of the vessel's floor.
    pub level_m: f64,
    /// All there is inside the vessel: resin and items.
    pub volume_m3: f64,
    /// Wetted area of the side wall.
    pub wall_m2: f64,
    /// The part of the volume that resin fills.
    pub resin_m3: f64,
    /// Heat capacity of the items whose heat capacity is known.
    pub items_j_per_k: f64,
}

/// The inside of a vessel as a table of [`HollowPoint`]s, straight between them and held outside them.
#[derive(Debug, Clone, PartialEq)]
pub struct Hollow {
    points: Vec<HollowPoint>,
}

impl Hollow {
    /// A hollow through these points; the first is the floor. `None` for fewer than two points, for levels or volumes that
    /// do not rise, and where anything else falls or is no number.
    pub fn new(points: Vec<HollowPoint>) -> Option<Self> {
        let rises = points.array_windows().all(|[low, high]| {
            high.level_m > low.level_m
                && high.volume_m3 > low.volume_m3
                && high.wall_m2 >= low.wall_m2
                && high.resin_m3 >= low.resin_m3
                && high.items_j_per_k >= low.items_j_per_k
        });
        (points.len() >= 2 && rises && points.iter().all(HollowPoint::is_finite)).then_some(Self { points })
    }

    /// A column of resin 1 m² wide, without a wall: what one-dimensional textbook cases are about.
    pub fn slab(height: Millimetres) -> Self {
        let height_m = height.get() / 1000.0;
        let top = HollowPoint { level_m: height_m, volume_m3: height_m, resin_m3: height_m, ..HollowPoint::default() };
        Self { points: vec![HollowPoint::default(), top] }
    }

    /// The level of the last point.
    pub fn height_m(&self) -> f64 {
        self.points[self.points.len() - 1].level_m
    }

    /// What lies between two levels.
    pub(super) fn between(&self, from_m: f64, to_m: f64) -> HollowPoint {
        let (low, high) = (self.below(from_m), self.below(to_m));
        HollowPoint {
            level_m: high.level_m - low.level_m,
            volume_m3: high.volume_m3 - low.volume_m3,
            wall_m2: high.wall_m2 - low.wall_m2,
            resin_m3: high.resin_m3 - low.resin_m3,
            items_j_per_k: high.items_j_per_k - low.items_j_per_k,
        }
    }

    /// The level plane at `level_m`, m²: of the slab below it, at the floor of the one above.
    pub(super) fn area_m2(&self, level_m: f64) -> f64 {
        let [low, high] = self.slab_of(level_m);
        (high.volume_m3 - low.volume_m3) / (high.level_m - low.level_m)
    }

    fn below(&self, level_m: f64) -> HollowPoint {
        let [low, high] = self.slab_of(level_m);
        let share = ((level_m - low.level_m) / (high.level_m - low.level_m)).clamp(0.0, 1.0);
        let at = |get: fn(&HollowPoint) -> f64| get(low) + share * (get(high) - get(low));
        HollowPoint {
            level_m: at(|p| p.level_m),
            volume_m3: at(|p| p.volume_m3),
            wall_m2: at(|p| p.wall_m2),
            resin_m3: at(|p| p.resin_m3),
            items_j_per_k: at(|p| p.items_j_per_k),
        }
    }

    fn slab_of(&self, level_m: f64) -> [&HollowPoint; 2] {
        let above = self.points.partition_point(|point| point.level_m < level_m).clamp(1, self.points.len() - 1);
        [&self.points[above - 1], &self.points[above]]
    }
}

impl HollowPoint {
    fn is_finite(&self) -> bool {
        [self.level_m, self.volume_m3, self.wall_m2, self.resin_m3, self.items_j_per_k].iter().all(|x| x.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn point(level_m: f64, volume_m3: f64, resin_m3: f64) -> HollowPoint {
        HollowPoint { level_m, volume_m3, wall_m2: level_m, resin_m3, items_j_per_k: 0.0 }
    }

    #[test]
    fn what_lies_between_levels_adds_up_across_a_bend() {
        let hollow = Hollow::new(vec![point(0.0, 0.0, 0.0), point(0.1, 1.0, 0.5), point(0.2, 4.0, 3.5)]).unwrap();
        let (low, high, whole) = (hollow.between(0.0, 0.15), hollow.between(0.15, 0.3), hollow.between(0.0, 0.2));
        assert!((low.volume_m3 - 2.5).abs() < 1e-12 && (low.resin_m3 - 2.0).abs() < 1e-12);
        assert!((low.volume_m3 + high.volume_m3 - whole.volume_m3).abs() < 1e-12, "held above the last point");
        assert!((hollow.area_m2(0.0) - 10.0).abs() < 1e-9 && (hollow.area_m2(0.15) - 30.0).abs() < 1e-9);
    }

    #[test]
    fn what_is_no_room_is_refused() {
        let floor = point(0.0, 0.0, 0.0);
        assert_eq!(Hollow::new(vec![floor]), None);
        assert_eq!(Hollow::new(vec![floor, point(0.1, 0.0, 0.0)]), None, "no volume");
        assert_eq!(Hollow::new(vec![floor, point(0.1, 1.0, 1.0), point(0.2, 2.0, 0.5)]), None, "resin falls");
        assert_eq!(Hollow::new(vec![floor, point(0.1, f64::INFINITY, 1.0)]), None);
    }
}

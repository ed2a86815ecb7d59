//! The pile cut into cells: what each holds, what flows between them.

use crate::heat::hollow::Hollow;
use crate::heat::surroundings::{Loss, Surroundings, Wall};

/// The layer of a cell that belongs to the vessel's base.
pub(super) const BASE: usize = usize::MAX;

/// The base is cut into this many cells.
const BASE_CELLS: u32 = 3;

/// What items take up counts as resin to this share, besides the heat capacity that is known of them: a cell that they fill
/// must hold some heat, or its temperature would have no rate.
const LEAST_FILLED: f64 = 1e-3;

/// The wall beside a cell.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Side {
    /// From the axis of the cell to the middle of the wall, W/K.
    pub inward: f64,
    /// From there to the room.
    pub outward: f64,
    /// J/K.
    pub capacity: f64,
}

/// One cell. Energies are of the whole cell, so that the area may change from cell to cell.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cell {
    /// Which layer it belongs to, or [`BASE`].
    pub layer: usize,
    pub from_m: f64,
    pub to_m: f64,
    pub volume_m3: f64,
    /// J/K.
    pub capacity: f64,
    /// What it gives when all of it reacts, J.
    pub heat: f64,
    pub conductivity: f64,
    pub side: Side,
    /// To the cell above, W/K; 0 at the top.
    pub up: f64,
}

/// Temperatures and conversions of all cells.
#[derive(Debug, Clone, Default)]
pub(super) struct State {
    /// °C.
    pub t: Vec<f64>,
    /// Share reacted.
    pub alpha: Vec<f64>,
    /// Of the wall beside each cell, °C.
    pub wall: Vec<f64>,
}

/// The geometry and what surrounds it.
#[derive(Debug, Clone)]
pub(super) struct Place {
    pub hollow: Hollow,
    pub around: Surroundings,
    /// Of the room when the pile began, °C: where the radiation of the side walls is taken.
    pub room_c: f64,
}

/// What a cell is made of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stuff {
    pub layer: usize,
    pub capacity_per_m3: f64,
    pub heat_per_m3: f64,
    pub conductivity: f64,
}

impl Cell {
    pub fn depth_m(&self) -> f64 {
        self.to_m - self.from_m
    }

    pub fn middle_m(&self) -> f64 {
        f64::midpoint(self.from_m, self.to_m)
    }
}

impl Side {
    /// The wall beside a cell of `t_c`: as warm as it was, or, where it holds no heat, as warm as lets through what comes.
    pub fn wall_c(&self, t_c: f64, wall_c: f64, bench_c: f64) -> f64 {
        let through = self.inward + self.outward;
        if self.capacity > 0.0 || through <= 0.0 {
            return wall_c;
        }
        (self.inward * t_c + self.outward * bench_c) / through
    }
}

impl State {
    pub fn len(&self) -> usize {
        self.t.len()
    }

    pub fn resize(&mut self, size: usize) {
        self.t.resize(size, 0.0);
        self.alpha.resize(size, 0.0);
        self.wall.resize(size, 0.0);
    }

    pub fn push(&mut self, t: f64, wall: f64) {
        self.t.push(t);
        self.alpha.push(0.0);
        self.wall.push(wall);
    }
}

impl Place {
    /// The cells of the vessel's base, from below up; none without a base.
    pub fn base(&self) -> Vec<Cell> {
        let Some(Wall { material, thickness_m }) = self.around.base else { return Vec::new() };
        let (area, each_m) = (self.hollow.area_m2(0.0), thickness_m / f64::from(BASE_CELLS));
        let cell = |number: u32| Cell {
            layer: BASE,
            from_m: f64::from(number) * each_m - thickness_m,
            to_m: f64::from(number + 1) * each_m - thickness_m,
            volume_m3: area * each_m,
            capacity: material.capacity_j_per_m3k() * area * each_m,
            heat: 0.0,
            conductivity: material.conductivity_w_per_mk(),
            side: Side::default(),
            up: 0.0,
        };
        (0..BASE_CELLS).map(cell).collect()
    }

    /// A cell of resin, and of what is embedded in it.
    pub fn cell(&self, stuff: &Stuff, from_m: f64, to_m: f64) -> Cell {
        let held = self.hollow.between(from_m, to_m);
        Cell {
            layer: stuff.layer,
            from_m,
            to_m,
            volume_m3: held.volume_m3,
            capacity: stuff.capacity_per_m3 * (held.resin_m3 + LEAST_FILLED * (held.volume_m3 - held.resin_m3))
                + held.items_j_per_k,
            heat: stuff.heat_per_m3 * held.resin_m3,
            conductivity: stuff.conductivity,
            side: self.side(held.volume_m3, held.wall_m2, stuff.conductivity),
            up: 0.0,
        }
    }

    /// The wall beside a cell. The heat comes from the axis, which is hottest: with a source that is even over the width,
    /// the axis of a round cell is q r²/4k over its edge, which passes q r/2: a resistance of r/2k, r twice the area over
    /// the perimeter.
    fn side(&self, volume_m3: f64, wall_m2: f64, conductivity: f64) -> Side {
        if wall_m2 <= 0.0 {
            return Side::default();
        }
        let radius_m = 2.0 * volume_m3 / wall_m2;
        let outside = self.around.side.coefficient(self.room_c, self.room_c);
        let (half, capacity) = self.around.side_wall.map_or((0.0, 0.0), |Wall { material, thickness_m }| {
            (thickness_m / 2.0 / material.conductivity_w_per_mk(), material.capacity_j_per_m3k() * thickness_m)
        });
        Side {
            inward: wall_m2 / (radius_m / (2.0 * conductivity) + half),
            outward: if outside > 0.0 { wall_m2 / (half + 1.0 / outside) } else { 0.0 },
            capacity: capacity * wall_m2,
        }
    }

    /// Works out anew what flows between neighbours: the halves of both cells in a row, through the plane between them.
    pub fn join(&self, cells: &mut [Cell]) {
        for i in 0..cells.len() {
            let here = cells[i];
            cells[i].up = cells.get(i + 1).map_or(0.0, |above| {
                let way = here.depth_m() / here.conductivity + above.depth_m() / above.conductivity;
                2.0 * self.area(here.to_m) / way
            });
        }
    }

    fn area(&self, level_m: f64) -> f64 {
        self.hollow.area_m2(level_m.max(0.0))
    }

    /// What leaves through the open top of `last`, which is at `t_c`.
    pub fn top_loss(&self, last: &Cell, t_c: f64, bench_c: f64) -> Loss {
        let area = self.area(last.to_m);
        self.around.top.loss(t_c, bench_c, area, 2.0 * last.conductivity * area / last.depth_m())
    }

    /// What leaves downwards from `first`.
    pub fn bottom_loss(&self, first: &Cell, t_c: f64, bench_c: f64) -> Loss {
        let area = self.area(first.from_m);
        self.around.below.loss(t_c, bench_c, area, 2.0 * first.conductivity * area / first.depth_m())
    }
}

//! The cells with their state, and how they are cut finer where the reaction is fast and coarser where it is over.

use super::cells::{BASE, Cell, Place, State, Stuff};
use crate::heat::kinetics::{Kinetics, Reaction};
use std::ops::Range;

/// A cell is cut when it would nearly run away by itself: its own Frank-Kamenetskii number, heat source · depth² over
/// conductivity and over the degrees that change the rate e-fold, is above this. A slab runs away at 0.878 on half its
/// depth.
const SPLIT_NUMBER: f64 = 0.25;
/// Two cells become one again when the number of the pair is below this.
const MERGE_NUMBER: f64 = 0.03;
/// Or when conversion differs by more than this between neighbours.
const SPLIT_JUMP: f64 = 0.08;
const MERGE_JUMP: f64 = 0.02;
/// A cell is at most this many times as deep as its neighbour.
const RATIO: f64 = 2.1;
/// Finer than this nothing is cut, m.
const FINEST_M: f64 = 1.0e-5;
/// Nor into more cells than this.
const MOST_CELLS: usize = 3000;
/// Over a limit by this much at the finest cut, the front is not resolved.
const UNRESOLVED: f64 = 3.0;

/// All cells, from below up.
#[derive(Debug, Clone)]
pub(super) struct Grid {
    pub place: Place,
    pub cells: Vec<Cell>,
    pub state: State,
    /// Cure ages in hours, `slots` of them for each cell in a row.
    pub ages: Vec<f64>,
    pub slots: usize,
}

/// What the cutting has to know of one layer.
#[derive(Debug, Clone, Copy)]
pub(super) struct LayerGrid {
    pub stuff: Stuff,
    pub kinetics: Kinetics,
    /// As deep as its cells are by right, m.
    pub cell_m: f64,
    /// Nothing happens in it any more: a quarter of it is fine enough.
    pub calm: bool,
    pub depth_m: f64,
}

/// What came of looking at every cell.
#[derive(Debug, Clone, Default)]
pub(super) struct Recut {
    pub changed: bool,
    /// Layers whose front is steeper than the finest cut.
    pub unresolved: Vec<usize>,
}

#[derive(Clone, Copy, PartialEq)]
enum Fate {
    Keep,
    Split,
    /// With the one above.
    Merge,
}

impl Grid {
    /// An empty vessel at `bench_c`.
    pub fn new(place: Place, bench_c: f64) -> Self {
        let mut grid = Self { cells: place.base(), place, state: State::default(), ages: Vec::new(), slots: 0 };
        for _ in 0..grid.cells.len() {
            grid.state.push(bench_c, bench_c);
        }
        grid
    }

    /// Lays a layer on top, cut evenly.
    pub fn lay(&mut self, stuff: &Stuff, levels_m: Range<f64>, cells: u32, start_c: f64, bench_c: f64) {
        let depth_m = levels_m.end - levels_m.start;
        let level = |i: u32| levels_m.start + depth_m * (f64::from(i) / f64::from(cells));
        for i in 0..cells {
            self.cells.push(self.place.cell(stuff, level(i), level(i + 1)));
            self.state.push(start_c, bench_c);
        }
        self.ages.resize(self.cells.len() * self.slots, 0.0);
        self.place.join(&mut self.cells);
    }

    /// Makes room for `slots` ages a cell.
    pub fn widen(&mut self, slots: usize) {
        let mut wider = vec![0.0; self.cells.len() * slots];
        for i in 0..self.cells.len() {
            wider[i * slots..i * slots + self.slots].copy_from_slice(&self.ages[i * self.slots..(i + 1) * self.slots]);
        }
        self.ages = wider;
        self.slots = slots;
    }

    /// Where the cells of `layer` are.
    pub fn range(&self, layer: usize) -> Range<usize> {
        let from = self.cells.partition_point(|cell| cell.layer == BASE || cell.layer < layer);
        let to = self.cells.partition_point(|cell| cell.layer == BASE || cell.layer <= layer);
        from..to
    }

    /// Cuts finer and coarser where it has to be, one halving or doubling at a time.
    pub fn recut(&mut self, layers: &[LayerGrid], reactions: &[Reaction]) -> Recut {
        let mut recut = Recut::default();
        let fates = self.fates(layers, reactions, &mut recut.unresolved);
        recut.changed = fates.iter().any(|fate| *fate != Fate::Keep);
        if recut.changed {
            self.rebuild(layers, &fates);
        }
        recut
    }

    fn fates(&self, layers: &[LayerGrid], reactions: &[Reaction], unresolved: &mut Vec<usize>) -> Vec<Fate> {
        let n = self.cells.len();
        let full = n >= MOST_CELLS;
        let mut fate = |(i, cell): (usize, &Cell)| {
            if cell.layer == BASE {
                return Fate::Keep;
            }
            let (worst, fine) = (self.steepness(i, reactions), cell.depth_m() / 2.0 < FINEST_M || full);
            if worst > UNRESOLVED && fine && !unresolved.contains(&cell.layer) {
                unresolved.push(cell.layer);
            }
            let steep = worst > 1.0 || cell.depth_m() > RATIO * self.thinnest_beside(i);
            if steep && !fine { Fate::Split } else { Fate::Keep }
        };
        let mut fates: Vec<Fate> = self.cells.iter().enumerate().map(&mut fate).collect();
        let mut i = 0;
        while i + 1 < n {
            if fates[i] == Fate::Keep && fates[i + 1] == Fate::Keep && self.can_merge(i, layers, reactions) {
                fates[i] = Fate::Merge;
                i += 1;
            }
            i += 1;
        }
        fates
    }

    /// The depth of the thinner neighbour of cell `i` that is resin, m.
    fn thinnest_beside(&self, i: usize) -> f64 {
        let beside = [i.checked_sub(1), Some(i + 1)].into_iter().flatten().filter_map(|j| self.cells.get(j));
        beside.filter(|cell| cell.layer != BASE).map(Cell::depth_m).fold(f64::INFINITY, f64::min)
    }

    /// How far cell `i` is over what it may be: 1 is the limit.
    fn steepness(&self, i: usize, reactions: &[Reaction]) -> f64 {
        let layer = self.cells[i].layer;
        let jump = |j: usize| {
            let same = self.cells[j].layer == layer;
            if same { (self.state.alpha[i] - self.state.alpha[j]).abs() } else { 0.0 }
        };
        let below = i.checked_sub(1).map_or(0.0, jump);
        let above = if i + 1 < self.cells.len() { jump(i + 1) } else { 0.0 };
        (self.number(i, reactions) / SPLIT_NUMBER).max(below.max(above) / SPLIT_JUMP)
    }

    /// The Frank-Kamenetskii number of one cell by itself.
    fn number(&self, i: usize, reactions: &[Reaction]) -> f64 {
        let cell = &self.cells[i];
        let turnover = reactions[cell.layer].at(self.state.alpha[i], self.state.t[i]);
        let area_m2 = cell.volume_m3 / cell.depth_m();
        cell.heat * turnover.by_temperature.max(0.0) * cell.depth_m() / (cell.conductivity * area_m2)
    }

    fn can_merge(&self, i: usize, layers: &[LayerGrid], reactions: &[Reaction]) -> bool {
        let (low, high) = (&self.cells[i], &self.cells[i + 1]);
        if low.layer == BASE || low.layer != high.layer {
            return false;
        }
        let layer = &layers[low.layer];
        let most_m = if layer.calm { layer.depth_m / 4.0 } else { layer.cell_m };
        let depth_m = low.depth_m() + high.depth_m();
        if depth_m > most_m * 1.01 {
            return false;
        }
        let beside = [i.checked_sub(1), (i + 2 < self.cells.len()).then_some(i + 2)];
        let even = beside.into_iter().flatten().all(|j| {
            let cell = &self.cells[j];
            cell.layer == BASE || depth_m <= cell.depth_m() * RATIO * 0.99
        });
        let jump = (self.state.alpha[i] - self.state.alpha[i + 1]).abs();
        let number = 4.0 * self.number(i, reactions).max(self.number(i + 1, reactions));
        even && jump < MERGE_JUMP && number < MERGE_NUMBER.max(SPLIT_NUMBER / 2.0)
    }

    /// Builds the cells anew after `fates`. Energy and conversion are kept: a merged cell has the mean of both, the halves
    /// of a split one lie on the slope through its neighbours and have its mean.
    fn rebuild(&mut self, layers: &[LayerGrid], fates: &[Fate]) {
        let old = std::mem::take(&mut self.cells);
        let state = std::mem::take(&mut self.state);
        let ages = std::mem::take(&mut self.ages);
        let slots = self.slots;
        let age = |i: usize| &ages[i * slots..(i + 1) * slots];
        let mut i = 0;
        while i < old.len() {
            let cell = old[i];
            match fates[i] {
                Fate::Keep => {
                    self.cells.push(cell);
                    self.add(state.t[i], state.alpha[i], state.wall[i]);
                    self.ages.extend_from_slice(age(i));
                }
                Fate::Split => {
                    let stuff = &layers[cell.layer].stuff;
                    let halves = [
                        self.place.cell(stuff, cell.from_m, cell.middle_m()),
                        self.place.cell(stuff, cell.middle_m(), cell.to_m),
                    ];
                    let warmer = between(&old, &state.t, i, halves.map(|half| half.capacity));
                    let further = between(&old, &state.alpha, i, halves.map(|half| half.heat.max(f64::MIN_POSITIVE)));
                    for (half, (t, alpha)) in halves.into_iter().zip(warmer.into_iter().zip(further)) {
                        self.cells.push(half);
                        self.add(t, alpha.clamp(0.0, 1.0), state.wall[i]);
                        self.ages.extend_from_slice(age(i));
                    }
                }
                Fate::Merge => {
                    let upper = old[i + 1];
                    let merged = self.place.cell(&layers[cell.layer].stuff, cell.from_m, upper.to_m);
                    let mean = |lane: &[f64], low: f64, high: f64| {
                        if low + high > 0.0 { (lane[i] * low + lane[i + 1] * high) / (low + high) } else { lane[i] }
                    };
                    self.cells.push(merged);
                    self.add(
                        mean(&state.t, cell.capacity, upper.capacity),
                        mean(&state.alpha, cell.heat, upper.heat),
                        mean(&state.wall, cell.side.capacity, upper.side.capacity),
                    );
                    let pairs = age(i).iter().zip(age(i + 1));
                    self.ages.extend(pairs.map(|(low, high)| f64::midpoint(*low, *high)));
                    i += 1;
                }
            }
            i += 1;
        }
        self.place.join(&mut self.cells);
    }

    fn add(&mut self, t: f64, alpha: f64, wall: f64) {
        self.state.t.push(t);
        self.state.alpha.push(alpha);
        self.state.wall.push(wall);
    }
}

/// What the halves of cell `i` have of `lane`: on the smaller of the slopes to its neighbours in the same layer, and flat at
/// an extreme, so that nothing new is made up; `weights` are those of the halves in the mean.
fn between(cells: &[Cell], lane: &[f64], i: usize, weights: [f64; 2]) -> [f64; 2] {
    let slope_to = |j: usize| {
        let same = cells[j].layer == cells[i].layer;
        if same { (lane[j] - lane[i]) / (cells[j].middle_m() - cells[i].middle_m()) } else { 0.0 }
    };
    let below = i.checked_sub(1).map_or(0.0, slope_to);
    let above = if i + 1 < cells.len() { slope_to(i + 1) } else { 0.0 };
    let slope = if below * above <= 0.0 { 0.0 } else { below.signum() * below.abs().min(above.abs()) };
    let apart = slope * cells[i].depth_m() / 2.0;
    let whole = weights[0] + weights[1];
    [lane[i] - apart * weights[1] / whole, lane[i] + apart * weights[0] / whole]
}

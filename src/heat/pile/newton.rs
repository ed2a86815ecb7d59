//! One implicit stage: the equations of all cells, solved by Newton with everything but the temperatures eliminated.
//!
//! Sought are T, α and the wall W of each cell with
//! ```text
//! α − α* = a q(α, T)
//! C (T − T*) = a (E q + conduction + G_in (W − T) − loss)
//! C_w (W − W*) = a (G_in (T − W) − G_out (W − T_bench))
//! ```
//! q the rate of conversion, C the capacity, E the heat of the whole cell. α and W depend on their own cell alone, so they
//! are eliminated and what is left is tridiagonal.

use super::cells::{BASE, Cell, Place, State};
use super::tridiagonal::Tridiagonal;
use crate::heat::kinetics::{Reaction, Turnover};

/// A temperature is found when Newton moves it by less than this, °C; what is left then is the square of it.
const FOUND_C: f64 = 1e-6;
/// More Newton steps than this are a step too long.
const MOST: u32 = 10;

/// What the equations are about.
#[derive(Clone, Copy)]
pub(super) struct System<'a> {
    pub place: &'a Place,
    pub cells: &'a [Cell],
    /// By layer.
    pub reactions: &'a [Reaction],
}

/// The workspace of a stage: the matrix as it was factorised last, and what was eliminated.
#[derive(Debug, Clone, Default)]
pub(super) struct Newton {
    matrix: Tridiagonal,
    /// 1 / (1 − a ∂q/∂α).
    share: Vec<f64>,
    /// a ∂q/∂T.
    warming: Vec<f64>,
    rhs_alpha: Vec<f64>,
    rhs_wall: Vec<f64>,
    step: Vec<f64>,
}

impl System<'_> {
    fn turnover(&self, cell: &Cell, alpha: f64, t: f64) -> Turnover {
        if cell.layer == BASE { Turnover::default() } else { self.reactions[cell.layer].at(alpha, t) }
    }

    /// The rates of `state` in a room of `bench_c`, per second, into `rates`; what is lost to the room, W.
    pub fn rates(&self, state: &State, bench_c: f64, rates: &mut State) -> f64 {
        let n = self.cells.len();
        let mut lost = 0.0;
        let mut from_below = 0.0;
        for (i, cell) in self.cells.iter().enumerate() {
            let t = state.t[i];
            let wall = cell.side.wall_c(t, state.wall[i], bench_c);
            let q = self.turnover(cell, state.alpha[i], t).per_s;
            let to_above = if i + 1 < n { cell.up * (t - state.t[i + 1]) } else { 0.0 };
            let mut gains = cell.heat * q + from_below - to_above - cell.side.inward * (t - wall);
            from_below = to_above;
            let ends = self.ends(i, t, bench_c);
            gains -= ends.0;
            let outward = cell.side.outward * (wall - bench_c);
            lost += ends.0 + if cell.side.inward > 0.0 { outward } else { 0.0 };
            rates.t[i] = gains / cell.capacity;
            rates.alpha[i] = q;
            rates.wall[i] = if cell.side.capacity > 0.0 {
                (cell.side.inward * (t - wall) - outward) / cell.side.capacity
            } else {
                0.0
            };
        }
        lost
    }

    /// What is lost to the room in `state`, W.
    pub fn lost(&self, state: &State, bench_c: f64) -> f64 {
        let n = self.cells.len();
        let sides = self.cells.iter().zip(&state.wall).filter(|(cell, _)| cell.side.inward > 0.0);
        let through_sides: f64 = sides.map(|(cell, wall)| cell.side.outward * (wall - bench_c)).sum();
        let first = self.place.bottom_loss(&self.cells[0], state.t[0], bench_c).watts;
        through_sides + first + self.place.top_loss(&self.cells[n - 1], state.t[n - 1], bench_c).watts
    }

    /// Loss and its slope at the two ends of the pile.
    fn ends(&self, i: usize, t: f64, bench_c: f64) -> (f64, f64) {
        let mut ends = (0.0, 0.0);
        if i == 0 {
            let loss = self.place.bottom_loss(&self.cells[0], t, bench_c);
            ends = (loss.watts, loss.slope);
        }
        if i + 1 == self.cells.len() {
            let loss = self.place.top_loss(&self.cells[i], t, bench_c);
            ends = (ends.0 + loss.watts, ends.1 + loss.slope);
        }
        ends
    }
}

impl Newton {
    pub fn resize(&mut self, size: usize) {
        self.matrix.resize(size);
        for lane in [&mut self.share, &mut self.warming, &mut self.rhs_alpha, &mut self.rhs_wall, &mut self.step] {
            lane.resize(size, 0.0);
        }
    }

    /// Solves the stage with coefficient `a` in seconds from `star`; `state` holds the guess and then the answer. `false`
    /// where it does not come together.
    pub fn solve(&mut self, system: &System<'_>, star: &State, state: &mut State, a: f64, bench_c: f64) -> bool {
        for _ in 0..MOST {
            if !self.assemble(system, star, state, a, bench_c) {
                return false;
            }
            self.eliminate(system, a);
            let mut largest = 0.0_f64;
            for i in 0..state.len() {
                state.t[i] += self.step[i];
                state.alpha[i] += self.rhs_alpha[i];
                state.wall[i] += self.rhs_wall[i];
                largest = largest.max(self.step[i].abs());
            }
            if largest.is_nan() {
                return false;
            }
            if largest < FOUND_C {
                return true;
            }
        }
        false
    }

    /// Puts minus the residuals of `state` into the right-hand sides and factorises.
    fn assemble(&mut self, system: &System<'_>, star: &State, state: &State, a: f64, bench_c: f64) -> bool {
        let cells = system.cells;
        let n = cells.len();
        let mut from_below = 0.0;
        let mut below = 0.0;
        let mut sound = true;
        for (i, cell) in cells.iter().enumerate() {
            let (t, wall) = (state.t[i], state.wall[i]);
            let q = system.turnover(cell, state.alpha[i], t);
            let to_above = if i + 1 < n { cell.up * (t - state.t[i + 1]) } else { 0.0 };
            let (loss, loss_slope) = system.ends(i, t, bench_c);
            let side = cell.side;
            let inward = side.inward * (t - wall);
            let gains = cell.heat * q.per_s + from_below - to_above - inward - loss;
            self.step[i] = a * gains - cell.capacity * (t - star.t[i]);
            self.rhs_alpha[i] = a * q.per_s - (state.alpha[i] - star.alpha[i]);
            self.share[i] = 1.0 / (1.0 - a * q.by_conversion);
            self.warming[i] = a * q.by_temperature;
            let mut diagonal = cell.capacity - cell.heat * self.warming[i] * self.share[i]
                + a * (below + cell.up + side.inward + loss_slope);
            if side.inward > 0.0 {
                let walled = side.capacity + a * (side.inward + side.outward);
                let outward = side.outward * (wall - bench_c);
                self.rhs_wall[i] = a * (inward - outward) - side.capacity * (wall - star.wall[i]);
                diagonal -= a * side.inward * (a * side.inward) / walled;
            }
            sound &= self.share[i] > 0.0 && self.matrix.set(i, -a * below, diagonal, -a * cell.up);
            below = cell.up;
            from_below = to_above;
        }
        sound
    }

    /// Solves for the right-hand sides that are set: temperatures into `step`, the rest into `rhs_alpha` and `rhs_wall`.
    fn eliminate(&mut self, system: &System<'_>, a: f64) {
        for (i, cell) in system.cells.iter().enumerate() {
            // a E ∂q/∂α · share · rhs_α; a ∂q/∂α = 1 − 1/share.
            self.step[i] += cell.heat * (self.share[i] - 1.0) * self.rhs_alpha[i];
            let side = cell.side;
            if side.inward > 0.0 {
                let walled = side.capacity + a * (side.inward + side.outward);
                self.step[i] += a * side.inward * self.rhs_wall[i] / walled;
            }
        }
        self.matrix.solve(&mut self.step);
        for (i, cell) in system.cells.iter().enumerate() {
            let warmer = self.step[i];
            self.rhs_alpha[i] = (self.rhs_alpha[i] + self.warming[i] * warmer) * self.share[i];
            let side = cell.side;
            self.rhs_wall[i] = if side.inward > 0.0 {
                let walled = side.capacity + a * (side.inward + side.outward);
                (self.rhs_wall[i] + a * side.inward * warmer) / walled
            } else {
                0.0
            };
        }
    }

    /// Damps `error`, an estimate in the units of a state, with the matrix factorised last: what decays within the step is
    /// no error of the answer (Hosea & Shampine, Appl. Numer. Math. 20 (1996) 21).
    pub fn damp(&mut self, system: &System<'_>, error: &mut State, a: f64) {
        for (i, cell) in system.cells.iter().enumerate() {
            self.step[i] = cell.capacity * error.t[i];
            self.rhs_alpha[i] = error.alpha[i];
            self.rhs_wall[i] = cell.side.capacity * error.wall[i];
        }
        self.eliminate(system, a);
        error.t.copy_from_slice(&self.step);
        error.alpha.copy_from_slice(&self.rhs_alpha);
        error.wall.copy_from_slice(&self.rhs_wall);
    }
}

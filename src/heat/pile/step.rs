//! One step in time: TR-BDF2 as a singly diagonal implicit Runge-Kutta pair, second order and strongly damping, with a
//! third-order companion for its error (Bank et al., IEEE Trans. Electron Devices 32 (1985) 1992; Hosea & Shampine, Appl.
//! Numer. Math. 20 (1996) 21).
//!
//! Being a Runge-Kutta method it keeps the balance of energy: what is stored, what reacted and what was lost are summed
//! with the same weights.

use super::cells::State;
use super::newton::{Newton, System};
use std::f64::consts::SQRT_2;

/// The first stage lies here in the step.
const GAMMA: f64 = 2.0 - SQRT_2;
/// Weight of the implicit part in both stages.
pub(super) const DIAGONAL: f64 = GAMMA / 2.0;
/// Weight of the rates at the start and at the first stage.
const WEIGHT: f64 = SQRT_2 / 4.0;
/// The weights less those of the third-order companion.
const ERROR: [f64; 3] = [WEIGHT - (1.0 - WEIGHT) / 3.0, WEIGHT - (3.0 * WEIGHT + 1.0) / 3.0, DIAGONAL - DIAGONAL / 3.0];

/// How exact a step has to be.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tolerance {
    /// Error of one step, °C.
    pub kelvin: f64,
    /// The same in conversion.
    pub conversion: f64,
}

/// The workspace of a step.
#[derive(Debug, Clone, Default)]
pub(super) struct Stepper {
    newton: Newton,
    /// Rates at the start of the step.
    pub rates: State,
    /// Lost to the room at the start, W.
    lost: f64,
    middle_rates: State,
    star: State,
    /// The state at the end of the step tried last, and its rates.
    pub next: State,
    pub next_rates: State,
    next_lost: f64,
    error: State,
}

/// How a tried step came out.
#[derive(Debug, Clone, Copy)]
pub(super) enum Tried {
    /// With the largest error over its tolerance, and the heat lost to the room, J.
    Through { error: f64, lost_j: f64 },
    /// The stage equations did not come together.
    TooLong,
}

impl Stepper {
    /// Makes ready for a state that was not reached by a step: works out its rates.
    pub fn begin(&mut self, system: &System<'_>, state: &State, bench_c: f64) {
        let n = state.len();
        self.newton.resize(n);
        for lane in [
            &mut self.rates,
            &mut self.middle_rates,
            &mut self.star,
            &mut self.next,
            &mut self.next_rates,
            &mut self.error,
        ] {
            lane.resize(n);
        }
        self.lost = system.rates(state, bench_c, &mut self.rates);
    }

    /// Tries a step of `h` seconds from `state`; `bench_c` are the room's temperatures at the first stage and at the end.
    pub fn attempt(
        &mut self,
        system: &System<'_>,
        state: &State,
        h: f64,
        bench_c: [f64; 2],
        tolerance: &Tolerance,
    ) -> Tried {
        let a = DIAGONAL * h;
        along(state, &mut self.star, |i, lane| a * lane(&self.rates)[i]);
        along(state, &mut self.next, |i, lane| GAMMA * h * lane(&self.rates)[i]);
        keep_conversion(&mut self.next);
        if !self.newton.solve(system, &self.star, &mut self.next, a, bench_c[0]) {
            return Tried::TooLong;
        }
        slope(system, &self.next, &self.star, a, &mut self.middle_rates);
        let middle_lost = system.lost(&self.next, bench_c[0]);

        along(state, &mut self.star, |i, lane| h * WEIGHT * (lane(&self.rates)[i] + lane(&self.middle_rates)[i]));
        for i in 0..state.len() {
            self.next.t[i] += (1.0 - GAMMA) * h * self.middle_rates.t[i];
            self.next.alpha[i] += (1.0 - GAMMA) * h * self.middle_rates.alpha[i];
            self.next.wall[i] += (1.0 - GAMMA) * h * self.middle_rates.wall[i];
        }
        keep_conversion(&mut self.next);
        if !self.newton.solve(system, &self.star, &mut self.next, a, bench_c[1]) {
            return Tried::TooLong;
        }
        slope(system, &self.next, &self.star, a, &mut self.next_rates);
        self.next_lost = system.lost(&self.next, bench_c[1]);
        let lost_j = h * (WEIGHT * (self.lost + middle_lost) + DIAGONAL * self.next_lost);
        Tried::Through { error: self.error(system, h, tolerance), lost_j }
    }

    fn error(&mut self, system: &System<'_>, h: f64, tolerance: &Tolerance) -> f64 {
        let [start, middle, end] = ERROR.map(|weight| weight * h);
        let lanes: [fn(&mut State) -> &mut Vec<f64>; 3] = [|s| &mut s.t, |s| &mut s.alpha, |s| &mut s.wall];
        for lane in lanes {
            let error = lane(&mut self.error);
            let (first, second, third) =
                (lane(&mut self.rates), lane(&mut self.middle_rates), lane(&mut self.next_rates));
            for i in 0..error.len() {
                error[i] = start * first[i] + middle * second[i] + end * third[i];
            }
        }
        self.newton.damp(system, &mut self.error, DIAGONAL * h);
        let largest = |lane: &[f64]| lane.iter().fold(0.0_f64, |most, error| most.max(error.abs()));
        let warm = largest(&self.error.t).max(largest(&self.error.wall)) / tolerance.kelvin;
        warm.max(largest(&self.error.alpha) / tolerance.conversion)
    }

    /// Takes the step tried last: `state` becomes its end.
    pub fn take(&mut self, state: &mut State) {
        std::mem::swap(state, &mut self.next);
        std::mem::swap(&mut self.rates, &mut self.next_rates);
        self.lost = self.next_lost;
    }
}

type Lane = fn(&State) -> &Vec<f64>;

/// `out = state + by`, lane by lane.
fn along(state: &State, out: &mut State, by: impl Fn(usize, Lane) -> f64) {
    for i in 0..state.len() {
        out.t[i] = state.t[i] + by(i, |s| &s.t);
        out.alpha[i] = state.alpha[i] + by(i, |s| &s.alpha);
        out.wall[i] = state.wall[i] + by(i, |s| &s.wall);
    }
}

/// A guess past the end of the reaction would have Newton look there.
fn keep_conversion(state: &mut State) {
    for alpha in &mut state.alpha {
        *alpha = alpha.clamp(0.0, 1.0);
    }
}

/// The rates of a solved stage, from its own equation: (y − y*) / a.
fn slope(system: &System<'_>, state: &State, star: &State, a: f64, rates: &mut State) {
    for (i, cell) in system.cells.iter().enumerate() {
        rates.t[i] = (state.t[i] - star.t[i]) / a;
        rates.alpha[i] = (state.alpha[i] - star.alpha[i]) / a;
        rates.wall[i] = if cell.side.capacity > 0.0 { (state.wall[i] - star.wall[i]) / a } else { 0.0 };
    }
}

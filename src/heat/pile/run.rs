//! How a pile goes on: step by step, looking after each at what became of it.

use super::grid::LayerGrid;
use super::newton::System;
use super::step::{Tolerance, Tried};
use super::track::{Taken, watch};
use super::{Pile, Track};
use std::f64::consts::SQRT_2;

/// The open top may be this far over the room when the pile is called calm, °C.
const CALM_C: f64 = 0.5;
/// And could heat itself by no more than this.
const CALM_RISE_C: f64 = 0.25;
/// What a calm pile's own heat is held against: about what still air takes from one face, W/m²K.
const CALM_LOSS_W_PER_M2K: f64 = 10.0;
/// The longest step, h: the room's temperature may turn within it.
const LONGEST_H: f64 = 0.25;

impl Pile {
    /// One step that is within tolerance, not past `at_most_h`.
    pub(in crate::heat) fn advance(&mut self, at_most_h: f64) {
        if self.grid.cells.is_empty() {
            self.now_h = at_most_h;
            return;
        }
        let tolerance = Tolerance { kelvin: self.fineness.kelvin, conversion: self.fineness.kelvin / 50.0 };
        if !self.ready {
            let system = System { place: &self.grid.place, cells: &self.grid.cells, reactions: &self.reactions };
            self.stepper.begin(&system, &self.grid.state, self.bench.at(self.now_h));
            self.ready = true;
        }
        let left_s = (at_most_h - self.now_h) * 3600.0;
        loop {
            let mut h = self.step_s.min(LONGEST_H * 3600.0);
            // A last step that would leave a crumb takes it along.
            let last = h > left_s * 0.999;
            if last {
                h = left_s;
            }
            let at = |share: f64| self.bench.at(self.now_h + share * h / 3600.0);
            let rooms = [at(2.0 - SQRT_2), at(1.0)];
            let system = System { place: &self.grid.place, cells: &self.grid.cells, reactions: &self.reactions };
            let tried = self.stepper.attempt(&system, &self.grid.state, h, rooms, &tolerance);
            let at_the_end = h <= self.shortest_s;
            match tried {
                Tried::Through { error, lost_j } if error <= 1.0 || at_the_end => {
                    self.step_s = h * (0.9 * error.max(1e-6).powf(-1.0 / 3.0)).clamp(0.3, 3.0);
                    let to_h = if last { at_most_h } else { self.now_h + h / 3600.0 };
                    self.take(to_h, rooms[1], lost_j);
                    if error > 1.0 {
                        self.give_up_on(h);
                    }
                    return;
                }
                Tried::Through { error, .. } => {
                    self.step_s = (h * (0.9 * error.powf(-1.0 / 3.0)).clamp(0.1, 0.8)).max(self.shortest_s);
                }
                Tried::TooLong if at_the_end => {
                    // The clock goes on without the pile.
                    self.now_h = if last { at_most_h } else { self.now_h + h / 3600.0 };
                    self.give_up_on(h);
                    return;
                }
                Tried::TooLong => self.step_s = (h * 0.25).max(self.shortest_s),
            }
        }
    }

    /// A step of `h` seconds could not be made as exact as it has to be: the layers say so.
    fn give_up_on(&mut self, h: f64) {
        self.tracks.iter_mut().for_each(Track::unresolved);
        self.shortest_s *= 2.0;
        self.step_s = self.step_s.max(2.0 * h);
    }

    fn take(&mut self, to_h: f64, bench_c: f64, lost_j: f64) {
        self.stepper.take(&mut self.grid.state);
        self.lost_j += lost_j;
        let last = self.grid.cells.len() - 1;
        let top_c = self.grid.place.top_loss(&self.grid.cells[last], self.grid.state.t[last], bench_c).face_c;
        self.top_peak_c = self.top_peak_c.max(top_c);
        self.grow_older((to_h - self.now_h) / 2.0);
        let taken = Taken {
            from_h: self.now_h,
            to_h,
            before: &self.stepper.next,
            rates_before: &self.stepper.next_rates,
            rates: &self.stepper.rates,
            bench_c,
            top_c,
        };
        for (layer, track) in self.tracks.iter_mut().enumerate() {
            track.look(layer, &self.grid, &taken);
        }
        watch(&self.watches, &self.grid, &taken, &mut self.peaks);
        self.now_h = to_h;
        self.recut(bench_c);
    }

    /// Adds to the ages by the trapezoid of the rates at both ends; `half_h` is half the step.
    fn grow_older(&mut self, half_h: f64) {
        let slots = self.grid.slots;
        if slots == 0 {
            return;
        }
        for layer in 0..self.tracks.len() {
            if !self.tracks[layer].is_pending() {
                continue;
            }
            for i in self.grid.range(layer) {
                let ends = [self.stepper.next.t[i], self.grid.state.t[i]];
                for (slot, (rule, speed)) in self.rules.iter().enumerate() {
                    let rate = |t: f64| if rule.stands_at(t) { 0.0 } else { speed.at(t).value };
                    self.grid.ages[i * slots + slot] += half_h * (rate(ends[0]) + rate(ends[1]));
                }
            }
        }
    }

    fn recut(&mut self, bench_c: f64) {
        let floor_m2 = self.grid.place.hollow.area_m2(self.top_m);
        for layer in 0..self.tracks.len() {
            let range = self.grid.range(layer);
            let even = self.grid.state.t[range].iter().all(|t| (t - bench_c).abs() < CALM_C);
            self.tracks[layer].grid.calm = even && self.rise_c(layer, floor_m2) < CALM_RISE_C / 5.0;
        }
        let layers: Vec<LayerGrid> = self.tracks.iter().map(|track| track.grid).collect();
        let recut = self.grid.recut(&layers, &self.reactions);
        for layer in recut.unresolved {
            self.tracks[layer].unresolved();
        }
        if recut.changed {
            self.ready = false;
        }
    }

    /// How far `layer` could still heat a pile of this open area, °C.
    fn rise_c(&self, layer: usize, area_m2: f64) -> f64 {
        let kinetics = &self.tracks[layer].grid.kinetics;
        let watts = |i: usize| {
            let (alpha, t) = (self.grid.state.alpha[i], self.grid.state.t[i]);
            self.grid.cells[i].heat * kinetics.most_still(alpha, t)
        };
        self.grid.range(layer).map(watts).sum::<f64>() / (CALM_LOSS_W_PER_M2K * area_m2)
    }

    /// The hottest any cell would be if it were as warm as the warmest is and then as much reacted in it at once, without
    /// loss, as is left in the one with most, °C: what a cell gets from its neighbours and from itself.
    pub(super) fn hottest_still_c(&self) -> f64 {
        let (cells, state) = (&self.grid.cells, &self.grid.state);
        let left = (0..cells.len()).map(|i| cells[i].heat * (1.0 - state.alpha[i]) / cells[i].capacity);
        state.t.iter().copied().fold(f64::NEG_INFINITY, f64::max) + left.fold(0.0, f64::max)
    }

    pub(super) fn is_calm(&self) -> bool {
        let area_m2 = self.grid.place.hollow.area_m2(self.top_m);
        let bench_c = self.bench.at(self.now_h);
        let even = self.grid.state.t.iter().all(|t| (t - bench_c).abs() < CALM_C);
        even && (0..self.tracks.len()).map(|layer| self.rise_c(layer, area_m2)).sum::<f64>() < CALM_RISE_C
    }
}

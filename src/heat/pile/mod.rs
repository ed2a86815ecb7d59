//! Layers on each other, on the vessel's base, in the room: heat along the height, with the sides as a loss.
//!
//! ```text
//! ρ c ∂T/∂t = ∂/∂z(k ∂T/∂z) + ρ H ∂α/∂t − side loss
//! ```
//! as finite volumes over level, one row of cells for the whole pile, their areas those of the vessel. Layers are added as
//! they are poured. Second order in space and time; energy is kept to rounding (see [`Pile::energy_error`]).

mod cells;
mod grid;
mod newton;
mod outcome;
mod run;
mod step;
mod track;
mod tridiagonal;
mod within;

#[cfg(test)]
mod tests;

pub use outcome::{ItemPeak, ItemWatch, LayerHeat, LayerPour, StageClock, StageHeat, SurfaceOf, Trace, TracePoint};

pub use within::Peaks;

use super::hollow::Hollow;
use super::kinetics::Reaction;
use super::speed::Speed;
use super::surroundings::Surroundings;
use crate::cure::{CureRule, TemperatureCurve};
use crate::material::Stage;
use cells::{Place, Stuff};
use grid::{Grid, LayerGrid};
use step::Stepper;
use track::Track;

/// The first step after a pour, s.
const FIRST_S: f64 = 2.0;
/// A stage that is waited for is met this exactly, h.
const JUST_BEFORE_H: f64 = 0.008;
/// A step is not made shorter than this. What it misses then is told as not resolved, and the next one may be twice as long
/// at the shortest: what cannot be followed is at least not waited for.
const SHORTEST_S: f64 = 1e-6;

/// How finely a pile is followed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Fineness {
    /// Cells of a layer before any is cut.
    pub cells: u32,
    /// Error of one step in time, °C; the error in conversion may be a fiftieth of the figure, which is as exact for a resin
    /// that heats itself by 50 °C.
    pub kelvin: f64,
}

impl Fineness {
    /// For answers while somebody types and for whole nights.
    pub const WORKING: Fineness = Fineness { cells: 10, kelvin: 0.05 };
    /// For trying one dose after another: a peak within half a degree or so of what [`Fineness::WORKING`] makes of it.
    pub const TRYING: Fineness = Fineness { cells: 10, kelvin: 0.2 };
    /// For cases that are held against reference solutions, one cell in the middle.
    pub const FINE: Fineness = Fineness { cells: 243, kelvin: 2e-6 };
}

/// The resin in a vessel as it is at one moment, layer on layer. Cloning it is cheap: try a pour on a copy.
#[derive(Debug, Clone)]
pub struct Pile {
    bench: TemperatureCurve,
    fineness: Fineness,
    grid: Grid,
    reactions: Vec<Reaction>,
    tracks: Vec<Track>,
    rules: Vec<(CureRule, Speed)>,
    watches: Vec<ItemWatch>,
    peaks: Vec<Option<ItemPeak>>,
    stepper: Stepper,
    now_h: f64,
    step_s: f64,
    shortest_s: f64,
    ready: bool,
    top_m: f64,
    lost_j: f64,
    /// Stored in the cells, against the room at the start.
    brought_j: f64,
    top_peak_c: f64,
}

impl Pile {
    /// An empty vessel at the bench's temperature at `at_h` on the axis of `bench`.
    pub fn new(
        hollow: Hollow,
        around: Surroundings,
        bench: TemperatureCurve,
        at_h: f64,
        watches: Vec<ItemWatch>,
    ) -> Self {
        let room_c = bench.at(at_h);
        let grid = Grid::new(Place { hollow, around, room_c }, room_c);
        let brought_j = stored(&grid);
        Self {
            bench,
            fineness: Fineness::WORKING,
            grid,
            reactions: Vec::new(),
            tracks: Vec::new(),
            rules: Vec::new(),
            peaks: vec![None; watches.len()],
            watches,
            stepper: Stepper::default(),
            now_h: at_h,
            step_s: FIRST_S,
            shortest_s: SHORTEST_S,
            ready: false,
            top_m: 0.0,
            lost_j: 0.0,
            brought_j,
            top_peak_c: room_c,
        }
    }

    /// The same, followed more or less finely.
    #[must_use]
    pub fn with(self, fineness: Fineness) -> Self {
        Self { fineness, ..self }
    }

    /// Pours a layer now, no higher than the brim. One that reaches no higher than the pile already stands is left out.
    pub fn pour(&mut self, pour: LayerPour) {
        let LayerPour { to_m, resin, start_c, clocks } = pour;
        let to_m = to_m.min(self.grid.place.hollow.height_m());
        let (from_m, depth_m) = (self.top_m, to_m - self.top_m);
        if depth_m <= 0.0 {
            return;
        }
        let stuff = Stuff {
            layer: self.tracks.len(),
            capacity_per_m3: resin.density_kg_per_m3 * resin.specific_heat_j_per_kgk,
            heat_per_m3: resin.density_kg_per_m3 * resin.kinetics.heat_j_per_kg,
            conductivity: resin.conductivity_w_per_mk,
        };
        let clocks = clocks.into_iter().map(|clock| (clock, self.slot(clock.rule))).collect();
        let cells = self.fineness.cells;
        let bench_c = self.bench.at(self.now_h);
        let before = stored(&self.grid);
        self.grid.lay(&stuff, from_m..to_m, cells, start_c, bench_c);
        self.brought_j += stored(&self.grid) - before;
        let cell_m = depth_m / f64::from(cells);
        let layer = LayerGrid { stuff, kinetics: resin.kinetics, cell_m, calm: false, depth_m };
        self.tracks.push(Track::new(layer, [from_m, to_m], self.now_h, start_c, clocks));
        self.reactions.push(Reaction::new(&resin.kinetics));
        self.top_m = to_m;
        self.step_s = FIRST_S;
        self.ready = false;
    }

    fn slot(&mut self, rule: CureRule) -> usize {
        let known = self.rules.iter().position(|(known, _)| *known == rule);
        known.unwrap_or_else(|| {
            self.rules.push((rule, Speed::new(rule.law, rule.reference)));
            self.grid.widen(self.rules.len());
            self.rules.len() - 1
        })
    }

    /// Where the clock of the pile stands, hours on the axis of the bench curve.
    pub fn now_h(&self) -> f64 {
        self.now_h
    }

    /// The room turned out otherwise from here on: `bench` is the same curve up to now.
    pub fn go_on_along(&mut self, bench: TemperatureCurve) {
        self.bench = bench;
    }

    /// Follows it until `at_h`.
    pub fn run_until(&mut self, at_h: f64) {
        while self.now_h < at_h {
            self.advance(at_h);
        }
    }

    /// Follows it until `stage` of the last layer is reached, within half a minute, but not past `at_most_h`; whether it
    /// was.
    pub fn run_until_stage(&mut self, stage: Stage, at_most_h: f64) -> bool {
        while self.now_h < at_most_h {
            let Some(soonest_h) = self.hours_to(stage) else { return true };
            self.advance(at_most_h.min(self.now_h + soonest_h.max(JUST_BEFORE_H)));
        }
        self.hours_to(stage).is_none()
    }

    /// The soonest `stage` of the last layer can come, hours from now; `None` once it has come, or where there is none.
    fn hours_to(&self, stage: Stage) -> Option<f64> {
        let layer = self.tracks.len().checked_sub(1)?;
        let left = self.tracks[layer].left(stage, layer, &self.grid)?;
        let hottest_c = self.grid.range(layer).fold(f64::NEG_INFINITY, |most, i| most.max(self.grid.state.t[i]));
        let rate = left.rule.rate(hottest_c);
        Some(if rate > 0.0 { left.age_h / rate } else { f64::INFINITY })
    }

    /// Follows it until nothing heats itself any more (within a quarter of a degree), but not past `at_most_h`. Stages
    /// that come later are found by the plain clock.
    pub fn run_until_calm(&mut self, at_most_h: f64) {
        while self.now_h < at_most_h && !self.is_calm() {
            self.advance(at_most_h);
        }
    }

    /// The ages of `layer` where its clocks look, hours, in the order of its clocks.
    pub(super) fn ages_h(&self, layer: usize) -> Vec<f64> {
        self.tracks[layer].ages_h(layer, &self.grid)
    }

    /// What each layer went through so far.
    pub fn layers(&self) -> Vec<LayerHeat> {
        let tracks = self.tracks.iter().enumerate();
        tracks.map(|(layer, track)| track.heat(layer, &self.grid, &self.bench, self.now_h)).collect()
    }

    /// What each watched place saw so far; `None` before resin reached it.
    pub fn items(&self) -> &[Option<ItemPeak>] {
        &self.peaks
    }

    /// The highest temperature of the open face so far, °C.
    pub fn top_peak_c(&self) -> f64 {
        self.top_peak_c
    }

    /// Heat that is unaccounted for: what is stored, less what was brought in and what reacted, plus what went to the room.
    /// As a share of all that reacted, or was lost, or would warm the pile by a degree, whichever is most.
    pub fn energy_error(&self) -> f64 {
        let reacted: f64 = self.grid.cells.iter().zip(&self.grid.state.alpha).map(|(cell, a)| cell.heat * a).sum();
        let a_degree: f64 = self.grid.cells.iter().map(|cell| cell.capacity).sum();
        let left = stored(&self.grid) - self.brought_j - reacted + self.lost_j;
        left.abs() / reacted.max(self.lost_j.abs()).max(a_degree)
    }

    /// Conversion at `level_m`, and its rate in 1/s.
    pub(super) fn at_level(&self, level_m: f64) -> (f64, f64) {
        let i = self.grid.cells.partition_point(|cell| cell.to_m <= level_m).min(self.grid.cells.len() - 1);
        // The stepper's own rates are of the cells as they were before they were cut.
        let (cell, alpha) = (&self.grid.cells[i], self.grid.state.alpha[i]);
        let rate = self.reactions.get(cell.layer).map_or(0.0, |r| r.at(alpha, self.grid.state.t[i]).per_s);
        (alpha, rate)
    }
}

/// Heat in the cells and the walls, J over 0 °C.
fn stored(grid: &Grid) -> f64 {
    let cells = grid.cells.iter().zip(grid.state.t.iter().zip(&grid.state.wall));
    cells.map(|(cell, (t, wall))| cell.capacity * t + cell.side.capacity * wall).sum()
}

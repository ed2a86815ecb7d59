//! What is kept of each layer while the pile is followed: peak, stages, picture.

use super::cells::State;
use super::grid::{Grid, LayerGrid};
use super::outcome::{ItemPeak, ItemWatch, LayerHeat, StageClock, StageHeat, SurfaceOf, Trace, TracePoint};
use crate::cure::{AgeCurve, TemperatureCurve};
use crate::heat::cubic::Cubic;
use crate::material::Stage;

/// What runs away from the grid is hotter than any limit: no profile allows more, °C.
const NOT_FOLLOWED_C: f64 = 400.0;

/// A picture has a new point when something moved by this much, °C, or after this long.
const PICTURE_C: f64 = 0.4;
const PICTURE_H: f64 = 0.2;

/// A step that was just taken, for who looks at it: times in hours, rates per second.
#[derive(Clone, Copy)]
pub(super) struct Taken<'a> {
    pub from_h: f64,
    pub to_h: f64,
    pub before: &'a State,
    pub rates_before: &'a State,
    pub rates: &'a State,
    pub bench_c: f64,
    /// The open face.
    pub top_c: f64,
}

impl Taken<'_> {
    /// The highest temperature of cell `i` within the step and when: of the cubic through both ends with their slopes.
    pub fn highest(&self, after: &State, i: usize) -> (f64, f64) {
        let seconds = (self.to_h - self.from_h) * 3600.0;
        let (start, end) = (self.before.t[i], after.t[i]);
        let cubic = Cubic::new([start, end], [self.rates_before.t[i] * seconds, self.rates.t[i] * seconds]);
        match cubic.top() {
            Some(share) => (cubic.at(share), self.from_h + share * (self.to_h - self.from_h)),
            None if end >= start => (end, self.to_h),
            None => (start, self.from_h),
        }
    }
}

#[derive(Debug, Clone, Copy)]
struct ClockTrack {
    clock: StageClock,
    slot: usize,
    reached_h: Option<f64>,
    /// What the slowest or the topmost place had at the last look.
    age_h: f64,
}

/// One layer as it is followed.
#[derive(Debug, Clone)]
pub(super) struct Track {
    pub grid: LayerGrid,
    from_m: f64,
    to_m: f64,
    poured_h: f64,
    peak_c: f64,
    peak_at_h: f64,
    peak_level_m: f64,
    clocks: Vec<ClockTrack>,
    resolved: bool,
    trace: Trace,
}

impl Track {
    pub fn new(
        grid: LayerGrid,
        levels_m: [f64; 2],
        poured_h: f64,
        start_c: f64,
        clocks: Vec<(StageClock, usize)>,
    ) -> Self {
        let [from_m, to_m] = levels_m;
        let clocks = clocks.into_iter().map(|(clock, slot)| ClockTrack { clock, slot, reached_h: None, age_h: 0.0 });
        Self {
            grid,
            from_m,
            to_m,
            poured_h,
            peak_c: start_c,
            peak_at_h: poured_h,
            peak_level_m: f64::midpoint(from_m, to_m),
            clocks: clocks.collect(),
            resolved: true,
            trace: Vec::new(),
        }
    }

    pub fn unresolved(&mut self) {
        self.resolved = false;
    }

    pub fn peak_c(&self) -> f64 {
        self.peak_c
    }

    /// When `stage` was reached, hours; `None` where it is still to come or the layer has no such clock.
    pub fn reached_h(&self, stage: Stage) -> Option<f64> {
        self.clocks.iter().find(|track| track.clock.stage == stage)?.reached_h
    }

    /// The same; of a layer that could not be followed at least [`NOT_FOLLOWED_C`].
    pub fn careful_peak_c(&self) -> f64 {
        if self.resolved { self.peak_c } else { self.peak_c.max(NOT_FOLLOWED_C) }
    }

    pub fn ages_h(&self, layer: usize, grid: &Grid) -> Vec<f64> {
        self.clocks.iter().map(|track| at(grid, grid.range(layer), track.slot, track.clock.at).0).collect()
    }

    /// Whether a stage is still to come, so that ages have to be kept.
    pub fn is_pending(&self) -> bool {
        self.clocks.iter().any(|track| track.reached_h.is_none())
    }

    /// What `stage` still needs where it is looked at; `None` once it was reached, or where the layer has no such clock.
    pub fn left(&self, stage: Stage, layer: usize, grid: &Grid) -> Option<StageClock> {
        let track = self.clocks.iter().find(|track| track.clock.stage == stage && track.reached_h.is_none())?;
        let (age_h, _) = at(grid, grid.range(layer), track.slot, track.clock.at);
        Some(StageClock { age_h: (track.clock.age_h - age_h).max(0.0), ..track.clock })
    }

    /// Looks at the layer, which is number `layer`, after a step.
    pub fn look(&mut self, layer: usize, grid: &Grid, taken: &Taken<'_>) {
        let range = grid.range(layer);
        let top = range.end - 1;
        let t = &grid.state.t;
        let Some(hottest) = range.clone().max_by(|a, b| t[*a].total_cmp(&t[*b])) else { return };
        let (peak_c, at_h) = taken.highest(&grid.state, hottest);
        if peak_c > self.peak_c {
            (self.peak_c, self.peak_at_h, self.peak_level_m) = (peak_c, at_h, grid.cells[hottest].middle_m());
        }
        let is_open = top + 1 == grid.cells.len();
        let top_c = if is_open { taken.top_c } else { t[top] };
        self.picture(TracePoint { at_h: taken.to_h, bench_c: taken.bench_c, hottest_c: t[hottest], top_c });
        for track in self.clocks.iter_mut().filter(|track| track.reached_h.is_none()) {
            let (age_h, alpha) = at(grid, range.clone(), track.slot, track.clock.at);
            let enough = track.clock.conversion.is_none_or(|needed| alpha >= needed);
            if age_h >= track.clock.age_h && enough {
                let share = (track.clock.age_h - track.age_h) / (age_h - track.age_h);
                let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 1.0 };
                track.reached_h = Some(taken.from_h + share * (taken.to_h - taken.from_h));
            }
            track.age_h = age_h;
        }
    }

    fn picture(&mut self, point: TracePoint) {
        let news = self.trace.last().is_none_or(|last| {
            point.at_h - last.at_h > PICTURE_H
                || (point.hottest_c - last.hottest_c).abs() > PICTURE_C
                || (point.top_c - last.top_c).abs() > PICTURE_C
        });
        if news {
            self.trace.push(point);
        }
    }

    /// What the layer, number `layer`, went through; stages still to come by the plain clock along `bench` from `now_h`.
    pub fn heat(&self, layer: usize, grid: &Grid, bench: &TemperatureCurve, now_h: f64) -> LayerHeat {
        let later = |track: &ClockTrack| {
            let (age_h, alpha) = at(grid, grid.range(layer), track.slot, track.clock.at);
            let ages = AgeCurve::new(bench, track.clock.rule, now_h);
            let stops = self.grid.kinetics.stops_at(ages.held_c());
            let short = track.clock.conversion.is_some_and(|needed| alpha < needed && stops <= needed);
            if short { None } else { ages.reach((track.clock.age_h - age_h).max(0.0)) }
        };
        let stage =
            |track: &ClockTrack| StageHeat { stage: track.clock.stage, at_h: track.reached_h.or_else(|| later(track)) };
        LayerHeat {
            from_m: self.from_m,
            to_m: self.to_m,
            poured_h: self.poured_h,
            peak_c: self.peak_c,
            peak_at_h: self.peak_at_h,
            peak_level_m: self.peak_level_m,
            stages: self.clocks.iter().map(stage).collect(),
            resolved: self.resolved,
            trace: self.trace.clone(),
        }
    }
}

/// Age and conversion where a stage is looked at.
fn at(grid: &Grid, range: std::ops::Range<usize>, slot: usize, place: SurfaceOf) -> (f64, f64) {
    let age = |i: usize| grid.ages[i * grid.slots + slot];
    match place {
        SurfaceOf::Top => (age(range.end - 1), grid.state.alpha[range.end - 1]),
        SurfaceOf::Slowest => range.fold((f64::INFINITY, f64::INFINITY), |(least, least_alpha), i| {
            (least.min(age(i)), least_alpha.min(grid.state.alpha[i]))
        }),
    }
}

/// Looks at the watched places after a step.
pub(super) fn watch(watches: &[ItemWatch], grid: &Grid, taken: &Taken<'_>, peaks: &mut [Option<ItemPeak>]) {
    for (watch, peak) in watches.iter().zip(peaks) {
        let from = grid.cells.partition_point(|cell| cell.to_m <= watch.from_m);
        let to = grid.cells.partition_point(|cell| cell.from_m < watch.to_m).max(from + 1).min(grid.cells.len());
        let hottest = (from..to).max_by(|a, b| grid.state.t[*a].total_cmp(&grid.state.t[*b]));
        let Some(i) = hottest else { continue };
        let (peak_c, at_h) = taken.highest(&grid.state, i);
        if peak.is_none_or(|known| peak_c > known.peak_c) {
            *peak = Some(ItemPeak { peak_c, at_h });
        }
    }
}

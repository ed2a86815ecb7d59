//! A plan's own pours under other conditions, and the dose that makes a window fit an hour of waking.

use super::ask::{Below, BenchAhead, NightAsk};
use super::laws::{Between, Pour};
use super::outcome::{NightPlan, NightPour, PourWindow};
use super::planner::{Planner, days, moment};
use super::solve::Slot;
use super::timeline::{Grid, Timeline};
use super::windows;
use crate::cure::{AgeCurve, TemperatureCurve};
use crate::material::{Stage, ThermalCure};
use crate::units::DosePercent;
use jiff::Timestamp;

/// Doses are tried to hundredths of a per cent.
const TO_THE_PERCENT: f64 = 100.0;

/// The doses with which the next layer has an open window when somebody wants to pour on it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DosesForWaking {
    /// When that layer is poured, and when it is poured on.
    pub poured: Timestamp,
    pub wake: Timestamp,
    pub layer: u32,
    /// The weakest and the strongest of those that do; `None`: none does.
    pub range: Option<(DosePercent, DosePercent)>,
    /// The one with the least risk, and the window it makes.
    pub best: (DosePercent, PourWindow),
}

impl Planner<'_> {
    /// The windows of the plan's own pours, each dose times `share`, and when all of its layers are likely finished.
    pub(super) fn replay(&self, plan: &NightPlan, share: f64) -> (Vec<Option<PourWindow>>, Option<Timestamp>) {
        let mut windows = Vec::with_capacity(plan.pours.len());
        let slot_of = |pour: &NightPour| slot_of(&self.line, pour.at);
        if let Some((first, below)) = plan.pours.first().zip(self.line.ask.below) {
            windows.push(Some(windows::told_below(&self.line, below, slot_of(first))));
        } else {
            windows.push(None);
        }
        for (place, pair) in plan.pours.windows(2).enumerate() {
            let [pour, next] = pair else { continue };
            let cold = self.line.ask.options.layers().get(place + 1).is_some_and(|layer| layer.cold);
            let made = self.as_poured(place, pour, share);
            let slots = (usize::from(slot_of(pour)), slot_of(next));
            windows.push(made.map(|made| windows::told(&self.line, &made, slots, cold)));
        }
        let done_h = |(place, pour): (usize, &NightPour)| {
            let stage = windows::finishing(&self.line)?;
            self.as_poured(place, pour, share)?.reach_h(usize::from(slot_of(pour)), stage, 0.5)
        };
        let all: Option<Vec<f64>> = plan.pours.iter().enumerate().map(done_h).collect();
        let finish = all.and_then(|all| all.into_iter().reduce(f64::max));
        (windows, finish.and_then(|h| moment(self.line.grid.start, h)))
    }

    /// The pour as it was planned, its dose times `share`.
    fn as_poured(&self, place: usize, pour: &NightPour, share: f64) -> Option<Pour<'_>> {
        match pour.dose {
            Some(dose) => {
                let between = nearest(&self.line, place, pour.bed, dose.get())?;
                Some(Pour::at_dose(&self.line, between, DosePercent::new(dose.get() * share).ok()?))
            }
            None => windows::pours(&self.line, place, pour.bed).next(),
        }
    }
}

fn slot_of(line: &Timeline<'_>, at: Timestamp) -> Slot {
    let slot = Grid::slot_from(at.duration_since(line.grid.start).as_secs_f64() / 3600.0);
    Slot::try_from(slot.min(line.grid.slots.saturating_sub(1))).unwrap_or(0)
}

/// The option whose dose is nearest.
fn nearest<'a>(line: &'a Timeline<'a>, place: usize, bed: usize, dose: f64) -> Option<Between<'a>> {
    let off = |between: &Between<'_>| between.cool.1.dose.map_or(0.0, |of| (of.get() / dose).ln().abs());
    let all = windows::pours(line, place, bed).map(|pour| pour.between);
    all.min_by(|a, b| off(a).total_cmp(&off(b)))
}

/// Of the next layer, poured as `plan` has it: the doses whose window is open at `wake`. `None` for the last layer, for a
/// material that has no dose, and for an hour that is past or off the grid.
pub fn doses_for_waking(ask: NightAsk<'_>, plan: &NightPlan, wake: Timestamp) -> Option<DosesForWaking> {
    let line = &Timeline::over(ask, days(&ask))?;
    let pour = plan.first().filter(|pour| pour.at < wake)?;
    let cold = line.ask.options.layers().get(1)?.cold;
    let (slot, then) = (slot_of(line, pour.at), slot_of(line, wake));
    if usize::from(then) >= line.grid.slots {
        return None;
    }
    let made = |dose: DosePercent| {
        let nearest = nearest(line, 0, pour.bed, dose.get())?;
        Some(windows::told(line, &Pour::at_dose(line, nearest, dose), (usize::from(slot), then), cold))
    };
    let doses = windows::pours(line, 0, pour.bed).filter_map(|made| made.dose(usize::from(slot)));
    let steps = doses.map(|dose| (dose.get() * TO_THE_PERCENT).round());
    let (least, most) = steps.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), step| (a.min(step), b.max(step)));
    if least > most {
        return None;
    }
    let risk = line.ask.rules.risk;
    let mut range: Option<(DosePercent, DosePercent)> = None;
    let mut best: Option<(DosePercent, PourWindow)> = None;
    let mut step = least;
    while step <= most {
        let dose = DosePercent::new(step / TO_THE_PERCENT).ok()?;
        let window = made(dose)?;
        if window.not_open <= risk && window.closed <= risk {
            range = Some((range.map_or(dose, |(weakest, _)| weakest), dose));
        }
        let misses = |window: &PourWindow| window.not_open.max(window.closed);
        if best.is_none_or(|(_, so_far)| misses(&window) < misses(&so_far)) {
            best = Some((dose, window));
        }
        step += 1.0;
    }
    Some(DosesForWaking { poured: pour.at, wake, layer: pour.layer, range, best: best? })
}

impl Below {
    /// The same layer on a bench that takes another course from hour 0 on: each chance keeps its age.
    #[must_use]
    pub fn on(&self, cure: &ThermalCure, bench: &BenchAhead, other: &TemperatureCurve) -> Below {
        let moved = |stage: Stage, quantiles: &super::Quantiles| {
            let Some(time) = cure.stage(stage) else { return *quantiles };
            let rule = cure.rule_of(time);
            let (here, there) = (AgeCurve::new(&bench.curve, rule, 0.0), AgeCurve::new(other, rule, 0.0));
            quantiles
                .map(|hour| if hour <= 0.0 { hour } else { there.reach(here.age_at(hour)).unwrap_or(f64::INFINITY) })
        };
        Below {
            opens: self.opens.as_ref().map(|opens| moved(Stage::NextLayerOpens, opens)),
            closes: self.closes.as_ref().map(|closes| moved(Stage::NextLayerCloses, closes)),
            demould: self.demould.as_ref().map(|demould| moved(Stage::Demould, demould)),
            cured: self.cured.as_ref().map(|cured| moved(Stage::FullCure, cured)),
            ..self.clone()
        }
    }
}

//! From everything that is known to a plan.

use super::ask::{NightAsk, NightRules};
use super::heat;
use super::outcome::{Finish, NightPlan, NightPour, NoNight, PourWindow};
use super::rest::Span;
use super::solve::{Hands, Layer, Placed, Problem, Search, Slot, Solution};
use super::timeline::{Grid, SLOTS_A_DAY, Timeline};
use super::windows;
use crate::cure::{Band, Quantile};
use crate::heat::MaterialHeat;
use crate::material::Stage;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent};
use crate::when::later;
use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;

/// The furthest a plan looks, days.
const MOST_DAYS: usize = 14;
/// A plan that gets too hot in the model is planned again so often, without what was too hot.
const MOST_ROUNDS: usize = 40;
/// After so many rounds all that is too hot is left out at once.
const ONE_BY_ONE: usize = 12;

/// Which of the ways through.
#[derive(Debug, Clone, Copy)]
enum Wanted {
    Cheapest,
    /// Finished first, with at most so many wake-ups.
    Within(usize),
}

/// Why a question has no answer.
#[derive(Debug, Clone, Copy)]
enum Stuck {
    Nothing,
    /// A layer, by its place: whatever is left out, it gets too hot.
    TooHot(usize),
}

/// A night worked out as far as its problem: ask it for plans.
#[derive(Debug)]
pub struct Planner<'a> {
    pub(super) line: Timeline<'a>,
    problem: Problem,
    asleep: Vec<Span>,
    busy: Vec<Span>,
    /// What every plan is held against; `None` where nothing is known of the material's heat.
    material: Option<Arc<MaterialHeat>>,
}

impl<'a> Planner<'a> {
    pub fn new(ask: NightAsk<'a>) -> Result<Self, NoNight> {
        let days = days(&ask);
        Self::over_days(ask, days)
    }

    /// The same, looking so many days ahead.
    pub fn over_days(ask: NightAsk<'a>, days: usize) -> Result<Self, NoNight> {
        let left = ask.options.layers();
        if left.is_empty() {
            return Err(NoNight::NothingLeft);
        }
        if left.len() > super::MOST_LAYERS {
            return Err(NoNight::TooMany(left.len()));
        }
        let line = Timeline::over(ask, days).ok_or_else(|| NoNight::NoClock(ask.profile.name.clone()))?;
        let grid = line.grid;
        let layers = windows::layers(&line);
        if let Some(place) = layers.iter().position(|layer| layer.beds.iter().all(Vec::is_empty)) {
            return Err(too_hot(&ask, place));
        }
        let range = Span { from: grid.start, until: grid.at(slots(grid)) };
        let asleep = ask.rules.rest.nights(range, ask.zone);
        let mut busy = ask.rules.rest.appointments(range, ask.zone);
        busy.extend(ask.taken.iter().filter(|span| span.meets(&range)));
        busy.sort();
        let beds = layers.first().map_or(0, |layer| layer.beds.len());
        let problem = Problem {
            hands: hands(grid, ask.rules, &asleep, &busy),
            first: windows::first(&line, beds),
            layers,
            warm_slots: windows::warm_slots(&line),
            levels: windows::levels(ask.rules.risk),
            sanding: ask.rules.sanding.map(hundredths),
        };
        let material = MaterialHeat::of(ask.profile).ok().map(Arc::new);
        Ok(Self { line, problem, asleep, busy, material })
    }

    pub(super) fn ask(&self) -> &NightAsk<'a> {
        &self.line.ask
    }

    /// The plan with the fewest wake-ups and sandings, then the earliest finish, then the least risk.
    pub fn best(&mut self) -> Result<NightPlan, NoNight> {
        self.cool(Wanted::Cheapest).map_err(|stuck| match stuck {
            Stuck::TooHot(place) => too_hot(self.ask(), place),
            Stuck::Nothing => self.why_not(),
        })
    }

    /// The plan that is finished first with at most so many wake-ups; `None` where there is none.
    pub fn within(&mut self, wakeups: usize) -> Option<NightPlan> {
        self.cool(Wanted::Within(wakeups)).ok()
    }

    /// The best plan whose first pour is before `until`, or not before `from`.
    pub fn first_pour_in(&mut self, from: Option<Timestamp>, until: Option<Timestamp>) -> Option<NightPlan> {
        let grid = self.line.grid;
        let inside = |slot: usize| {
            let at = grid.at(Slot::try_from(slot).unwrap_or(Slot::MAX));
            from.is_none_or(|from| at >= from) && until.is_none_or(|until| at < until)
        };
        let whole = self.problem.layers.first()?.clone();
        let mut masked = whole.clone();
        for choice in masked.beds.iter_mut().flatten() {
            let after = choice.after.iter().enumerate().map(|(slot, after)| after.filter(|_| inside(slot)));
            choice.after = after.collect();
        }
        *self.problem.layers.first_mut()? = masked;
        let plan = self.cool(Wanted::Cheapest).ok();
        *self.problem.layers.first_mut()? = whole;
        plan
    }

    /// What is wanted of the problem, held against the heat of the whole piece poured so; what gets too hot is left out,
    /// and it is asked again. What was left out for one question is there again for the next.
    fn cool(&mut self, wanted: Wanted) -> Result<NightPlan, Stuck> {
        let whole = self.problem.layers.clone();
        let found = self.cool_enough(wanted);
        self.problem.layers = whole;
        found
    }

    fn cool_enough(&mut self, wanted: Wanted) -> Result<NightPlan, Stuck> {
        let mut held: Vec<usize> = Vec::new();
        for round in 0..MOST_ROUNDS {
            let mut search = Search::new(&self.problem);
            let solution = match wanted {
                Wanted::Cheapest => search.best(),
                Wanted::Within(wakeups) => search.within(wakeups),
            };
            let Some(solution) = solution else { break };
            let mut plan = self.told(&solution);
            let hot = heat::too_hot(self.ask(), self.material.as_ref(), self.line.grid.start, &mut plan);
            if hot.is_empty() {
                plan.held_by_heat = held.iter().map(|place| self.ask().options.layers()[*place].number).collect();
                plan.held_by_heat.sort_unstable();
                plan.held_by_heat.dedup();
                return Ok(plan);
            }
            // One after another, for a cooler layer spares those above it; where that takes too long, all of them.
            let out = if round < ONE_BY_ONE { &hot[..1] } else { &hot[..] };
            for place in out {
                self.leave_out(*place, &solution.pours[*place]);
            }
            held.extend(out);
        }
        Err(held.first().map_or(Stuck::Nothing, |place| Stuck::TooHot(*place)))
    }

    /// Weaker is cooler: this dose and all stronger ones are out, for this layer on this bed.
    fn leave_out(&mut self, place: usize, placed: &Placed) {
        let pours = windows::pours(&self.line, place, placed.bed);
        let doses = pours.map(|pour| pour.dose(usize::from(placed.slot)).map_or(0.0, DosePercent::get));
        let doses: Vec<f64> = doses.collect();
        let choices = &mut self.problem.layers[place].beds[placed.bed];
        for (choice, dose) in choices.iter_mut().zip(&doses) {
            if *dose >= doses[placed.choice] {
                choice.after = vec![None; choice.after.len()].into();
            }
        }
    }

    /// The solution in times and figures.
    fn told(&self, solution: &Solution) -> NightPlan {
        let grid = self.line.grid;
        let mut pours = Vec::with_capacity(solution.pours.len());
        let mut window = self.below_window(solution.pours.first());
        for (place, (placed, layer)) in solution.pours.iter().zip(self.ask().options.layers()).enumerate() {
            let slot = usize::from(placed.slot);
            let at = |choice: usize| windows::pours(&self.line, place, placed.bed).nth(choice);
            let pour = at(placed.choice);
            pours.push(NightPour {
                layer: layer.number,
                kind: layer.kind,
                at: grid.at(placed.slot),
                dose: pour.as_ref().and_then(|pour| pour.dose(slot)),
                planned_dose: at(0).and_then(|pour| pour.dose(slot)),
                window,
                wakes: placed.wakes,
                sanded: placed.sanded,
                peak_c: pour.as_ref().and_then(|pour| pour.peak_c(slot)),
                bench_c: self.line.celsius[slot],
                bed: placed.bed,
            });
            let next = solution.pours.get(place + 1);
            let cold = self.ask().options.layers().get(place + 1).is_some_and(|next| next.cold);
            window = pour.zip(next).map(|(pour, next)| windows::told(&self.line, &pour, (slot, next.slot), cold));
        }
        NightPlan {
            finish: self.finish(solution),
            cost: f64::from(solution.cost(&self.problem)) / 100.0,
            asleep: self.until_finish(&self.asleep, solution),
            busy: self.until_finish(&self.busy, solution),
            held_by_heat: Vec::new(),
            pours,
        }
    }

    fn until_finish(&self, spans: &[Span], solution: &Solution) -> Vec<Span> {
        let finish = later(self.line.grid.start, SignedDuration::from_mins(i64::from(solution.finish)));
        spans.iter().filter(|span| span.from < finish).copied().collect()
    }

    fn below_window(&self, first: Option<&Placed>) -> Option<PourWindow> {
        let below = self.ask().below?;
        Some(windows::told_below(&self.line, below, first?.slot))
    }

    fn finish(&self, solution: &Solution) -> Finish {
        let start = self.line.grid.start;
        let likely = later(start, SignedDuration::from_mins(i64::from(solution.finish)));
        let stage = windows::finishing(&self.line);
        // The layer that is done last.
        let late_h = |(place, placed): (usize, &Placed)| {
            let pour = windows::pours(&self.line, place, placed.bed).nth(placed.choice)?;
            pour.reach_h(usize::from(placed.slot), stage?, 1.0 - self.ask().rules.risk)
        };
        let all: Option<Vec<f64>> = solution.pours.iter().enumerate().map(late_h).collect();
        let late = all.and_then(|all| all.into_iter().reduce(f64::max));
        Finish { stage, likely, late: late.and_then(|h| moment(start, h)) }
    }

    /// What stands in the way: the first thing without which there is a plan.
    fn why_not(&self) -> NoNight {
        let ask = *self.ask();
        let without = |rules: &NightRules| {
            let free = NightAsk { rules, ..ask };
            Planner::over_days(free, days(&free)).ok().and_then(|mut other| other.cool(Wanted::Cheapest).ok())
        };
        if let Some(by) = ask.rules.demoulded_by {
            let rest = super::Rest { sleep: Vec::new(), ..ask.rules.rest.clone() };
            if let Some(plan) = without(&NightRules { demoulded_by: None, rest, ..ask.rules.clone() }) {
                let words = |at: Timestamp| {
                    PlainText::new(&at.to_zoned_datetime(ask.zone.clone()).strftime("%a %d %b %H:%M").to_string())
                };
                let late = plan.finish.late.unwrap_or(plan.finish.likely);
                let sure_percent = (100.0 * (1.0 - ask.rules.risk)).round();
                return NoNight::TooLate { by: words(by), earliest: words(late), sure_percent };
            }
        }
        let first = &self.problem.first.window;
        let shut = usize::from(first.shut[0]) <= usize::from(first.open[0]).max(1);
        if ask.below.is_some() && shut && ask.rules.sanding.is_none() {
            return NoNight::Closed;
        }
        let at_once = NightRules { pouring: SignedDuration::from_mins(1), ..ask.rules.clone() };
        if without(&at_once).is_some() {
            let pouring = crate::strict::typed_duration(ask.rules.pouring.unsigned_abs());
            return NoNight::PotLife { pouring: PlainText::new(&pouring) };
        }
        let never = |layer: &Layer| layer.beds.iter().flatten().all(|choice| choice.after.iter().all(Option::is_none));
        if self.problem.layers.iter().any(never) {
            return NoNight::TooCold(ask.profile.name.clone());
        }
        let hint = if ask.rules.sanding.is_none() && ask.profile.after_closing.is_some() {
            "let a window pass at a price (--after-closing), take more risk (--risk-percent), or leave out an appointment"
        } else {
            "take more risk (--risk-percent), leave out an appointment, or warm the bench"
        };
        NoNight::NothingFits { days: self.line.grid.slots / SLOTS_A_DAY, hint: hint.to_owned() }
    }
}

fn too_hot(ask: &NightAsk<'_>, place: usize) -> NoNight {
    let limit = ask.profile.thermal().and_then(|cure| Some(cure.heat.as_ref()?.peak_limit.value));
    NoNight::TooHot { layer: ask.options.layers()[place].number, limit: limit.unwrap_or(Celsius::ROOM) }
}

/// The times of a stage at the three chances of a band.
pub(super) fn band(start: Timestamp, hour: impl Fn(f64) -> Option<f64>) -> Band<Option<Timestamp>> {
    Band::from_fn(|quantile: Quantile| moment(start, hour(quantile.probability())?))
}

pub(super) fn moment(start: Timestamp, hours: f64) -> Option<Timestamp> {
    const FAR_H: f64 = 1e5;
    (hours.is_finite() && hours.abs() < FAR_H).then(|| later(start, SignedDuration::from_secs_f64(hours * 3600.0)))
}

fn slots(grid: Grid) -> Slot {
    Slot::try_from(grid.slots).unwrap_or(Slot::MAX)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a price, cut off")]
fn hundredths(price: f64) -> u16 {
    (price * 100.0).round().clamp(0.0, 1000.0) as u16
}

/// So many days are looked at: until the deadline, else enough for what has to be waited for, and a night more.
pub(super) fn days(ask: &NightAsk<'_>) -> usize {
    let left = ask.options.layers();
    let cold = left.iter().filter(|layer| layer.cold).count();
    let opens_h =
        ask.profile.thermal().and_then(|cure| cure.stage(Stage::NextLayerOpens)).map_or(12.0, |t| t.after.value.get());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few days, cut off")]
    let waits = (left.len() as f64 * opens_h * 3.0 / 24.0).ceil().min(MOST_DAYS as f64) as usize;
    let to_deadline = ask.rules.demoulded_by.map(|by| {
        let days = by.duration_since(ask.from).as_hours().max(0) / 24 + 1;
        usize::try_from(days).unwrap_or(MOST_DAYS)
    });
    to_deadline.unwrap_or(2 + waits + 2 * cold).clamp(1, MOST_DAYS)
}

/// What the hands do in each slot, from making ready until all is in the vessel.
fn hands(grid: Grid, rules: &NightRules, asleep: &[Span], busy: &[Span]) -> Vec<Hands> {
    let slot = |slot: Slot| {
        let at = grid.at(slot);
        let work = Span { from: later(at, -rules.prepare).max(grid.start), until: later(at, rules.pouring) };
        let work = Span { until: work.until.max(later(work.from, SignedDuration::from_secs(1))), ..work };
        if busy.iter().any(|span| span.meets(&work)) {
            Hands::Busy
        } else if asleep.iter().any(|span| span.meets(&work)) {
            Hands::Asleep
        } else {
            Hands::Free
        }
    };
    (0..slots(grid)).map(slot).collect()
}

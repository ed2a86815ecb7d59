//! "Now or in the morning?", and what else there is to choose from.

use super::ask::{BenchAhead, NightAsk, NightRules, PourOptions};
use super::outcome::{NightPlan, NoNight};
use super::planner::Planner;
use super::rest::{Rest, Span};
use crate::cure::{Knot, TemperatureCurve};
use crate::units::Celsius;
use crate::when::later;
use jiff::{SignedDuration, Timestamp};

/// A finish that is sooner by less than this is not worth another plan.
const WORTH: SignedDuration = SignedDuration::from_mins(45);
/// So many more wake-ups are looked at.
const MORE_WAKEUPS: usize = 3;
/// How much warmer a heater makes the bench that is looked at, °C.
pub const WARMER_C: f64 = 3.0;

/// What a night comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Night {
    pub best: NightPlan,
    pub alternatives: Vec<Alternative>,
    pub now_or_morning: Option<NowOrMorning>,
}

/// Another way, and what it is.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    pub kind: AlternativeKind,
    pub plan: NightPlan,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AlternativeKind {
    /// Sooner, for more wake-ups.
    Sooner,
    /// As soon as it goes, whatever it costs in sleep.
    ThroughTheNight,
    /// On a bench that is warmer by [`WARMER_C`].
    WarmerBench,
    /// Round the sleep with a sanding where there is none in the plan.
    WithSanding,
}

/// Whether the next layer is poured before the next sleep or after it.
#[derive(Debug, Clone, PartialEq)]
pub struct NowOrMorning {
    pub verdict: Verdict,
    /// The sleep it is about.
    pub sleep: Span,
    /// The best that can be made of pouring before its end, and after it.
    pub now: Option<NightPlan>,
    pub morning: Option<NightPlan>,
    /// The next layer goes onto one that is in the vessel.
    pub onto: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Before the sleep.
    Now,
    /// In it: somebody gets up, or is up.
    Night,
    Morning,
}

impl NowOrMorning {
    /// In one or two sentences: what decides.
    pub fn compare(&self) -> Difference {
        let Some((now, morning)) = self.now.as_ref().zip(self.morning.as_ref()) else { return Difference::NoChoice };
        let cost = (now.cost - morning.cost).abs();
        if cost > COST_TOLD {
            return Difference::Cost { cost };
        }
        Difference::Finish { sooner: now.finish.likely.duration_since(morning.finish.likely).abs() }
    }
}

/// Costs closer than this are one.
const COST_TOLD: f64 = 0.005;

/// What parts the two.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Difference {
    /// Only one of them can be done.
    NoChoice,
    /// In wake-ups.
    Cost {
        cost: f64,
    },
    Finish {
        sooner: SignedDuration,
    },
}

/// The best plan with everything beside it.
pub fn night(ask: NightAsk<'_>) -> Result<Night, NoNight> {
    let mut planner = Planner::new(ask)?;
    let best = planner.best()?;
    let now_or_morning = now_or_morning(&mut planner, ask.from, &best);
    let mut alternatives = Vec::new();
    sooner(&mut planner, &best, &mut alternatives);
    through_the_night(ask, &best, &mut alternatives);
    if best.wakeups() > 0 && ask.rules.sanding.is_none() && ask.profile.after_closing.is_some() {
        let rules = NightRules { sanding: Some(0.0), ..ask.rules.clone() };
        let plan = Planner::new(NightAsk { rules: &rules, ..ask }).ok().and_then(|mut planner| planner.best().ok());
        let plan = plan.filter(|plan| plan.wakeups() < best.wakeups());
        alternatives.extend(plan.map(|plan| Alternative { kind: AlternativeKind::WithSanding, plan }));
    }
    if let Some(Ok(plan)) = on_another_bench(ask, WARMER_C)
        && (plan.wakeups() < best.wakeups() || plan.finish.likely <= best.finish.likely - WORTH)
    {
        alternatives.push(Alternative { kind: AlternativeKind::WarmerBench, plan });
    }
    Ok(Night { best, alternatives, now_or_morning })
}

/// Finishes that more wake-ups buy.
fn sooner(planner: &mut Planner<'_>, best: &NightPlan, into: &mut Vec<Alternative>) {
    let mut last = best.finish.likely;
    for wakeups in best.wakeups() + 1..=(best.wakeups() + MORE_WAKEUPS).min(best.pours.len()) {
        let Some(plan) = planner.within(wakeups) else { continue };
        if plan.finish.likely <= last - WORTH {
            last = plan.finish.likely;
            into.push(Alternative { kind: AlternativeKind::Sooner, plan });
        }
    }
}

/// Nobody sleeps; told only where it is sooner than all others.
fn through_the_night(ask: NightAsk<'_>, best: &NightPlan, into: &mut Vec<Alternative>) {
    let rules = NightRules { rest: Rest { sleep: Vec::new(), ..ask.rules.rest.clone() }, ..ask.rules.clone() };
    let Some(mut plan) = Planner::new(NightAsk { rules: &rules, ..ask }).ok().and_then(|mut p| p.within(0)) else {
        return;
    };
    let soonest = into.iter().map(|other| other.plan.finish.likely).fold(best.finish.likely, Timestamp::min);
    if plan.finish.likely > soonest - WORTH {
        return;
    }
    let Some(last) = plan.pours.last() else { return };
    let range = Span { from: ask.from, until: later(last.at, ask.rules.pouring) };
    plan.asleep = ask.rules.rest.nights(range, ask.zone);
    for pour in &mut plan.pours {
        let work = Span { from: later(pour.at, -ask.rules.prepare), until: later(pour.at, ask.rules.pouring) };
        pour.wakes = plan.asleep.iter().any(|night| night.meets(&work));
    }
    plan.cost += plan.wakeups() as f64;
    into.push(Alternative { kind: AlternativeKind::ThroughTheNight, plan });
}

/// The best plan on a bench that is so much warmer or colder throughout; `None` where no bench is.
pub(super) fn on_another_bench(ask: NightAsk<'_>, warmer_c: f64) -> Option<Result<NightPlan, NoNight>> {
    let curve = shifted(&ask.bench.curve, warmer_c)?;
    let below = ask.below.zip(ask.profile.thermal()).map(|(below, cure)| below.on(cure, ask.bench, &curve));
    let bench = BenchAhead { curve, outlook: ask.bench.outlook.clone() };
    let options = PourOptions::of(ask.piece, ask.profile, ask.progress, &bench.curve, ask.rules);
    let there = NightAsk { bench: &bench, options: &options, below: below.as_ref(), ..ask };
    Some(Planner::new(there).and_then(|mut planner| planner.best()))
}

/// The curve so much warmer from hour 0 on; what was measured stays.
pub(super) fn shifted(curve: &TemperatureCurve, warmer_c: f64) -> Option<TemperatureCurve> {
    let at = |at_h: f64, c: f64| Some(Knot { at_h, celsius: Celsius::new(c).ok()? });
    let now_c = curve.at(0.0);
    let before = curve.knots().iter().filter(|knot| knot.at_h < 0.0).copied();
    let ahead = curve.knots().iter().filter(|knot| knot.at_h > 0.0);
    let ahead: Option<Vec<Knot>> = ahead.map(|knot| at(knot.at_h, knot.celsius.get() + warmer_c)).collect();
    let mut knots: Vec<Knot> = before.collect();
    knots.push(at(0.0, now_c + warmer_c)?);
    knots.extend(ahead?);
    TemperatureCurve::new(knots).ok()
}

/// About the next sleep that begins, or has begun, before the plan is through; `None` where none does.
fn now_or_morning(planner: &mut Planner<'_>, from: Timestamp, best: &NightPlan) -> Option<NowOrMorning> {
    let last = best.pours.last()?.at;
    let sleep = best.next_sleep(from).filter(|sleep| sleep.from < last || best.finish.likely > sleep.from)?;
    let now = planner.first_pour_in(None, Some(sleep.until));
    let morning = planner.first_pour_in(Some(sleep.until), None);
    let first = best.first()?;
    let verdict = match first.at {
        at if at >= sleep.until => Verdict::Morning,
        _ if first.wakes => Verdict::Night,
        _ => Verdict::Now,
    };
    // The one that is taken is the plan itself.
    let best = Some(best.clone());
    let (now, morning) = if verdict == Verdict::Morning { (now, best) } else { (best, morning) };
    Some(NowOrMorning { verdict, sleep, now, morning, onto: planner.ask().below.is_some() })
}

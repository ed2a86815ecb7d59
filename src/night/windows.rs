//! When the next layer may follow a pour, slot by slot.

use super::ask::{Below, NightRules};
use super::laws::{AgeLaw, Between, Pour};
use super::outcome::PourWindow;
use super::planner::band;
use super::quantiles::Quantiles;
use super::solve::{After, Choice, EARLY, First, LATE, Layer, Levels, MOST_MINUTES, NEVER, Slot, Window};
use super::timeline::{Grid, Timeline, first_at};
use crate::cure::normal_quantile;
use crate::material::{AfterClosing, Stage, StageTime};
use crate::pour::{LayerOptions, OVERNIGHT_H};
use std::sync::Arc;

/// Risks that are told apart under the most that is taken, as shares of it.
const PARTS: [f64; LATE] = [1.0, 0.3, 0.1, 0.02];

/// The levels of risk for so much at the most, as a share.
pub(super) fn levels(risk: f64) -> Levels {
    let thousandths = |share: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share, not over 1")]
        return (share * 1000.0).ceil() as u16;
    };
    let late = PARTS.map(|part| thousandths(risk * part));
    // Likely open is enough for who is up; who is woken shall find it open.
    let early = [thousandths(LIKELY.max(risk)), late[0], late[1], late[2]];
    Levels { early, late, early_asleep: late[0] }
}

const LIKELY: f64 = 0.5;

/// The same as shares.
fn shares(risk: f64) -> ([f64; EARLY], [f64; LATE]) {
    let late = PARTS.map(|part| risk * part);
    ([LIKELY.max(risk), late[0], late[1], late[2]], late)
}

/// What closes a window, or opens it again.
#[derive(Debug, Clone, Copy)]
struct Stages<'a> {
    opens: Option<&'a StageTime>,
    closes: Option<&'a StageTime>,
    /// Something else opens it once it has closed.
    again: Option<&'a StageTime>,
    overnight: bool,
}

/// The stage that finishes a piece.
pub(super) fn finishing(line: &Timeline<'_>) -> Option<Stage> {
    [Stage::Demould, Stage::FullCure].into_iter().find(|stage| line.cure.stage(*stage).is_some())
}

/// The stages between a layer and the next one, which waits with `cold` until all below has set.
fn stages<'a>(line: &Timeline<'a>, cold: bool) -> Stages<'a> {
    let of = |stage| line.cure.stage(stage);
    if cold {
        return Stages { opens: of(Stage::Demould), closes: None, again: None, overnight: true };
    }
    let (opens, closes) = (of(Stage::NextLayerOpens), of(Stage::NextLayerCloses));
    let again = (line.ask.profile.after_closing == Some(AfterClosing::Wait)).then(|| of(Stage::FullCure)).flatten();
    Stages { opens, closes, again, overnight: opens.is_none() }
}

/// Every layer that is left, with its choices.
pub(super) fn layers(line: &Timeline<'_>) -> Vec<Layer> {
    let (cool, warm) = (&line.ask.options.cool, &line.ask.options.warm);
    let mut layers: Vec<Layer> = Vec::with_capacity(cool.1.len());
    let next_is = |place: usize| cool.1.get(place + 1).map(|next| next.cold);
    for place in 0..cool.1.len() {
        // What is poured alike and followed alike opens alike.
        let alike = (0..place).rev().find(|other| {
            let same = |of: &[LayerOptions]| of[*other].beds == of[place].beds;
            next_is(*other) == next_is(place) && same(&cool.1) && same(&warm.1)
        });
        let layer = alike.map(|other| layers[other].clone());
        layers.push(layer.unwrap_or_else(|| {
            let beds = (0..cool.1[place].beds.len()).map(|bed| {
                let choice = |pour: Pour<'_>| Choice { away: pour.away(), after: table(line, &pour, next_is(place)) };
                pours(line, place, bed).map(choice).collect()
            });
            Layer { beds: beds.collect() }
        }));
    }
    layers
}

/// The doses of one layer on one bed that stay cool on either bench, in the order of the choices.
pub(super) fn pours<'a>(line: &'a Timeline<'a>, place: usize, bed: usize) -> impl Iterator<Item = Pour<'a>> {
    let (cool, warm) = (&line.ask.options.cool, &line.ask.options.warm);
    let in_both = cool.1[place].beds[bed].iter().filter_map(move |option| {
        let other = warm.1.get(place)?.beds.get(bed)?.iter().find(|other| other.factor == option.factor)?;
        Some(Between { cool: (cool.0, option), warm: (warm.0, other) })
    });
    in_both.map(move |between| Pour::new(line, between))
}

/// What comes of each slot of a pour; `next_cold`: `None` for the last layer.
fn table(line: &Timeline<'_>, pour: &Pour<'_>, next_cold: Option<bool>) -> Arc<[Option<After>]> {
    let slots = 0..line.grid.slots;
    let poured = |slot: usize| done_min(line, pour, slot).filter(|_| pour.can_be_poured(slot));
    match next_cold {
        None => slots.map(|slot| Some(After { done_min: poured(slot)?, next: None })).collect(),
        Some(cold) => {
            let mut search = Search::new(line, stages(line, cold));
            slots.map(|slot| Some(After { done_min: poured(slot)?, next: Some(search.window(pour, slot)) })).collect()
        }
    }
}

/// When a layer is finished that is poured then, minutes; `None` where that is too late, or never.
fn done_min(line: &Timeline<'_>, pour: &Pour<'_>, slot: usize) -> Option<u32> {
    let poured_h = Grid::hour(slot);
    let stage = finishing(line);
    let at_z = |z: f64| stage.map_or(Some(poured_h), |stage| pour.reach_at_z(slot, stage, z));
    let likely_h = at_z(0.0)?;
    if let Some(by) = line.ask.rules.demoulded_by {
        let by_h = by.duration_since(line.grid.start).as_secs_f64() / 3600.0;
        at_z(normal_quantile(1.0 - line.ask.rules.risk)).filter(|late_h| *late_h <= by_h)?;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a time ahead, cut off by the limit")]
    Some((likely_h * 60.0).ceil().clamp(0.0, f64::from(MOST_MINUTES)) as u32)
}

/// Looks up windows along the slots; each is found near the last one.
struct Search<'a> {
    line: &'a Timeline<'a>,
    stages: Stages<'a>,
    early_z: [f64; EARLY],
    late_z: [f64; LATE],
    risk_z: f64,
    open: [usize; EARLY],
    shut: [usize; LATE],
    again: usize,
}

impl<'a> Search<'a> {
    fn new(line: &'a Timeline<'a>, stages: Stages<'a>) -> Self {
        let (early, late) = shares(line.ask.rules.risk);
        Self {
            line,
            stages,
            early_z: early.map(|share| normal_quantile(1.0 - share)),
            late_z: late.map(normal_quantile),
            risk_z: normal_quantile(1.0 - line.ask.rules.risk),
            open: [0; EARLY],
            shut: [0; LATE],
            again: 0,
        }
    }

    fn window(&mut self, pour: &Pour<'_>, slot: usize) -> Window {
        let line = self.line;
        let overnight = if self.stages.overnight { Grid::slot_from(Grid::hour(slot) + OVERNIGHT_H) } else { slot + 1 };
        let open = match self.stages.opens.and_then(|time| Some((time, pour.law(slot, time.stage)?))) {
            Some((time, law)) => self.opens(slot, time, law, overnight),
            None => [slot_of(overnight); EARLY],
        };
        let shut = match self.stages.closes.and_then(|time| Some((time, pour.law(slot, time.stage)?))) {
            Some((time, law)) => {
                let ages = &line.ages_of(time);
                let mut hints = self.shut;
                let mut place = 0;
                let shut = self.late_z.map(|z| {
                    // The slot before the first that is too late is the last one, so the window ends with the first.
                    let at = first_at(&ages.poured_at, ages.at[slot] + law.age_at_z(z), &mut hints[place]);
                    place += 1;
                    slot_of(at)
                });
                self.shut = hints;
                shut
            }
            None => [NEVER; LATE],
        };
        Window { open, shut, sand: self.sand(pour, slot, open) }
    }

    fn opens(&mut self, slot: usize, time: &StageTime, law: AgeLaw, not_before: usize) -> [Slot; EARLY] {
        let ages = &self.line.ages_of(time);
        let least_c = self.line.cure.warmth_for(time);
        let mut place = 0;
        self.early_z.map(|z| {
            let at = first_at(&ages.at, ages.at[slot] + law.age_at_z(z), &mut self.open[place]);
            place += 1;
            slot_of(self.line.warm_from(at.max(not_before), least_c))
        })
    }

    /// From where on the next layer may follow with sanding: once it has surely set, or is cured through where that is asked.
    fn sand(&mut self, pour: &Pour<'_>, slot: usize, open: [Slot; EARLY]) -> Slot {
        let rules: &NightRules = self.line.ask.rules;
        if rules.sanding.is_none() || self.stages.closes.is_none() {
            return NEVER;
        }
        let Some(time) = self.stages.again else { return open[1] };
        let Some(law) = pour.law(slot, time.stage) else { return NEVER };
        let ages = self.line.ages_of(time);
        slot_of(first_at(&ages.at, ages.at[slot] + law.age_at_z(self.risk_z), &mut self.again))
    }
}

fn slot_of(place: usize) -> Slot {
    // One before "never": what lies past the grid is not the same as what never comes.
    Slot::try_from(place).unwrap_or(NEVER - 1).min(NEVER - 1)
}

/// What the first layer of those to come is poured on.
pub(super) fn first(line: &Timeline<'_>, beds: usize) -> First {
    let Some(below) = line.ask.below else { return First { window: Window::ALWAYS, warm_until: 0, warm_bed: 0 } };
    let warm_for_h = warm_for_h(line);
    let warm_until = Grid::slot_from(below.poured_h + warm_for_h).min(usize::from(NEVER - 1));
    First {
        window: below_window(line, below),
        warm_until: if below.poured_h + warm_for_h > 0.0 { slot_of(warm_until) } else { 0 },
        warm_bed: below.warm.min(beds.saturating_sub(1)),
    }
}

pub(super) fn warm_for_h(line: &Timeline<'_>) -> f64 {
    let stack = line.ask.profile.dose_rule().and_then(|rule| rule.warm_stack.as_ref());
    stack.map_or(0.0, |stack| stack.warm_for.value.get())
}

pub(super) fn warm_slots(line: &Timeline<'_>) -> Slot {
    slot_of(Grid::slot_from(warm_for_h(line)))
}

fn below_window(line: &Timeline<'_>, below: &Below) -> Window {
    let cold = line.ask.options.layers().first().is_some_and(|layer| layer.cold);
    let (early, late) = shares(line.ask.rules.risk);
    let pouring_h = line.ask.rules.pouring.as_secs_f64() / 3600.0;
    let opens = if cold { below.demould } else { below.opens };
    let overnight = cold || opens.is_none();
    let not_before_h = if overnight { below.poured_h + OVERNIGHT_H } else { 0.0 };
    let open = early.map(|share| {
        let hour = opens.as_ref().map_or(0.0, |opens| opens.hour(1.0 - share));
        slot_of(Grid::slot_from(hour.max(not_before_h)))
    });
    let closes = below.closes.filter(|_| !cold);
    let shut = late.map(|share| {
        closes.as_ref().map_or(NEVER, |closes: &Quantiles| slot_of(Grid::slot_from(closes.hour(share) - pouring_h)))
    });
    let sand = match (line.ask.rules.sanding, closes, line.ask.profile.after_closing) {
        (Some(_), Some(_), Some(AfterClosing::Wait)) => {
            below.cured.map_or(NEVER, |cured| slot_of(Grid::slot_from(cured.hour(1.0 - line.ask.rules.risk))))
        }
        (Some(_), Some(_), _) => open[1],
        _ => NEVER,
    };
    Window { open, shut, sand }
}

/// The window that a pour at the first of `slots` opens to the next layer at the second, which waits with `cold` until all has
/// set.
pub(super) fn told(line: &Timeline<'_>, pour: &Pour<'_>, slots: (usize, Slot), cold: bool) -> PourWindow {
    let (slot, next) = (slots.0, usize::from(slots.1));
    let stages = stages(line, cold);
    let start = line.grid.start;
    let not_before_h = if stages.overnight { Grid::hour(slot) + OVERNIGHT_H } else { 0.0 };
    let opens = |p: f64| match stages.opens {
        Some(time) => Some(pour.reach_h(slot, time.stage, p)?.max(not_before_h)),
        None => Some(not_before_h),
    };
    let by = |time: Option<&StageTime>, ages_then: fn(&super::timeline::Ages) -> &Vec<f64>| {
        let (time, law) = time.and_then(|time| Some((time, pour.law(slot, time.stage)?)))?;
        let ages = line.ages_of(time);
        Some(law.by(ages_then(ages)[next] - ages.at[slot]))
    };
    PourWindow {
        opens: band(start, opens),
        closes: band(start, |p| pour.reach_h(slot, stages.closes?.stage, p)),
        not_open: by(stages.opens, |ages| &ages.at).map_or(0.0, |open| 1.0 - open),
        closed: by(stages.closes, |ages| &ages.poured_at).unwrap_or(0.0),
    }
}

/// The window of the layer that is in the vessel, for a pour at `slot`.
pub(super) fn told_below(line: &Timeline<'_>, below: &Below, slot: Slot) -> PourWindow {
    let cold = line.ask.options.layers().first().is_some_and(|layer| layer.cold);
    let opens = if cold { below.demould } else { below.opens };
    let closes = below.closes.filter(|_| !cold);
    let start = line.grid.start;
    let not_before_h = if cold || opens.is_none() { below.poured_h + OVERNIGHT_H } else { f64::NEG_INFINITY };
    let (at_h, pouring_h) = (Grid::hour(usize::from(slot)), line.ask.rules.pouring.as_secs_f64() / 3600.0);
    PourWindow {
        opens: band(start, |p| Some(opens.map_or(not_before_h, |opens| opens.hour(p).max(not_before_h)))),
        closes: band(start, |p| closes.map(|closes| closes.hour(p))),
        not_open: opens.map_or(0.0, |opens| 1.0 - opens.by(at_h)),
        closed: closes.map_or(0.0, |closes| closes.by(at_h + pouring_h)),
    }
}

//! The grid of times with the bench's course along it, and how old resin gets between two slots.

use super::ask::NightAsk;
use super::solve::Slot;
use crate::cure::{AgeCurve, RateLaw};
use crate::material::{StageTime, ThermalCure};
use crate::when::later;
use jiff::{SignedDuration, Timestamp};

/// Minutes between two slots.
pub(super) const STEP_MIN: u16 = 5;
pub(super) const SLOTS_A_DAY: usize = 24 * 60 / STEP_MIN as usize;

/// The slots of a plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Grid {
    pub start: Timestamp,
    pub slots: usize,
}

impl Grid {
    pub fn at(&self, slot: Slot) -> Timestamp {
        later(self.start, SignedDuration::from_mins(i64::from(slot) * i64::from(STEP_MIN)))
    }

    pub fn hour(slot: usize) -> f64 {
        slot as f64 * f64::from(STEP_MIN) / 60.0
    }

    /// The first slot that is not before `hour`; past the grid where it never comes.
    pub fn slot_from(hour: f64) -> usize {
        // A moment that is a slot, but for rounding, is that slot.
        const ROUNDING: f64 = 1e-6;
        let slot = (hour * 60.0 / f64::from(STEP_MIN) - ROUNDING).ceil().max(0.0);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "not negative, and cut off below"
        )]
        return if slot < f64::from(u16::MAX) { slot as usize } else { usize::from(u16::MAX) };
    }
}

/// Ages by one temperature rule.
#[derive(Debug)]
pub(super) struct Ages {
    law: RateLaw,
    pub curve: AgeCurve,
    /// At each slot, hours at the reference temperature from the start on.
    pub at: Vec<f64>,
    /// The same when a batch begun then is in the vessel.
    pub poured_at: Vec<f64>,
}

/// The bench along the grid.
#[derive(Debug)]
pub(super) struct Timeline<'a> {
    pub ask: NightAsk<'a>,
    pub cure: &'a ThermalCure,
    pub grid: Grid,
    /// Of the bench, °C by slot.
    pub celsius: Vec<f64>,
    ages: Vec<Ages>,
}

impl<'a> Timeline<'a> {
    /// So many days from the first moment of the grid on; `None` for a material without a temperature clock.
    pub fn over(ask: NightAsk<'a>, days: usize) -> Option<Self> {
        Self::new(ask, Grid { start: on_the_grid(ask.from), slots: days * SLOTS_A_DAY })
    }

    fn new(ask: NightAsk<'a>, grid: Grid) -> Option<Self> {
        let cure = ask.profile.thermal()?;
        let celsius = (0..grid.slots).map(|slot| ask.bench.curve.at(Grid::hour(slot))).collect();
        let mut laws: Vec<RateLaw> = vec![cure.law.value];
        for law in cure.stages.iter().filter_map(|time| time.law) {
            if !laws.contains(&law.value) {
                laws.push(law.value);
            }
        }
        let pouring_h = ask.rules.pouring.as_secs_f64() / 3600.0;
        let ages = laws.into_iter().map(|law| {
            let curve = AgeCurve::new(&ask.bench.curve, cure.rule(law), 0.0);
            let at = (0..grid.slots).map(|slot| curve.age_at(Grid::hour(slot))).collect();
            let poured_at = (0..grid.slots).map(|slot| curve.age_at(Grid::hour(slot) + pouring_h)).collect();
            Ages { law, curve, at, poured_at }
        });
        Some(Self { ask, cure, grid, celsius, ages: ages.collect() })
    }

    /// The ages a stage goes by.
    pub fn ages_of(&self, time: &StageTime) -> &Ages {
        let law = time.law.unwrap_or(self.cure.law).value;
        // Every law of the profile is there; the material's own is the first.
        self.ages.iter().find(|ages| ages.law == law).unwrap_or(&self.ages[0])
    }

    /// The first slot from `from` on at which the bench is `least_c` or warmer.
    pub fn warm_from(&self, from: usize, least_c: Option<f64>) -> usize {
        let Some(least_c) = least_c else { return from };
        let ahead = self.celsius.iter().skip(from);
        ahead.into_iter().position(|c| *c >= least_c).map_or(self.grid.slots, |later| from + later)
    }
}

/// The first moment of the grid from `from` on: whole steps past the hour. All hours of a plan count from there.
pub fn on_the_grid(from: Timestamp) -> Timestamp {
    let step_s = i64::from(STEP_MIN) * 60;
    let over = from.as_second().rem_euclid(step_s) + i64::from(from.subsec_nanosecond() > 0);
    let ahead = (step_s - over).rem_euclid(step_s);
    let whole = Timestamp::from_second(from.as_second()).unwrap_or(from);
    let part_s = i64::from(from.subsec_nanosecond() > 0);
    later(whole, SignedDuration::from_secs(part_s + ahead))
}

/// The first place of the rising `ages` that is at least `age`, looked for from `hint` on, where the last one was found.
pub(super) fn first_at(ages: &[f64], age: f64, hint: &mut usize) -> usize {
    let mut place = (*hint).min(ages.len());
    while place > 0 && ages[place - 1] >= age {
        place -= 1;
    }
    while place < ages.len() && ages[place] < age {
        place += 1;
    }
    *hint = place;
    place
}

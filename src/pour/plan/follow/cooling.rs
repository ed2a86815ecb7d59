//! The strongest dose that stays cool.

use super::trial::{Hottest, Top};
use super::{Following, Lie, Like};
use crate::pour::plan::dose::{hundredths, of_hundredths};
use crate::units::DosePercent;

/// A dose is strong enough when its peak is this near to the limit, °C: a hundredth of a per cent makes about as much.
const CLOSE_C: f64 = 0.5;

/// Peaks closer than this are the same to anybody, °C.
const SAME_C: f64 = 0.5;

/// What the heat makes of a dose.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::pour::plan) enum Cooling {
    /// It may stay.
    Cool,
    /// The strongest dose that stays cool, and what would not have with the one asked for.
    Lowered(DosePercent, Hottest),
    /// Not even the least dose stays cool.
    TooHot(Hottest),
}

/// A dose in hundredths of a per cent, and how far the hottest is over its limit with it, °C.
#[derive(Debug, Clone, Copy)]
struct Tried {
    step: f64,
    over_c: f64,
}

impl Following<'_> {
    /// Looks whether the layer to come, and all that it heats, stays cool at `dose`, and at what dose if not; never under
    /// the least. It must stay cool with nothing poured on it, and with the next layer poured as soon as it can be.
    ///
    /// Where something else is too hot even at the least dose, and this dose makes it no hotter, the dose may stay. A layer on
    /// one like it that is too hot in any case is so as well, and is not tried.
    pub fn cool(&mut self, like: Like, least: DosePercent, dose: DosePercent) -> Cooling {
        let Some(lie) = self.lies.get(self.poured).copied() else { return Cooling::Cool };
        let below = self.taken.last().filter(|below| below.like.is(like)).map(|below| below.cooling.clone());
        if let Some(Cooling::TooHot(own @ Hottest { what: None, .. })) = below {
            return Cooling::TooHot(own);
        }
        let Err(asked) = self.stays_cool(lie, dose) else { return Cooling::Cool };
        let found = match below {
            Some(Cooling::Lowered(guess, _)) if guess < dose => self.near(lie, least, guess, dose, &asked),
            _ => self.between(lie, least, Tried { step: hundredths(dose.get()), over_c: asked.over_c() }),
        };
        match found {
            Ok(step) => of_hundredths(step).map_or(Cooling::Cool, |dose| Cooling::Lowered(dose, asked)),
            Err(at_least) => {
                self.remember();
                let no_hotter =
                    at_least.what.is_some() && asked.what == at_least.what && asked.peak_c < at_least.peak_c + SAME_C;
                if no_hotter { Cooling::Cool } else { Cooling::TooHot(at_least) }
            }
        }
    }

    /// The strongest dose that stays cool, beginning with `guess`.
    fn near(
        &self,
        lie: Lie,
        least: DosePercent,
        guess: DosePercent,
        dose: DosePercent,
        asked: &Hottest,
    ) -> Result<f64, Hottest> {
        let tried = self.tried(lie, hundredths(guess.get()), &[Top::Open]);
        if tried.over_c > 0.0 {
            return self.between(lie, least, tried);
        }
        let high = Tried { step: hundredths(dose.get()), over_c: asked.over_c() };
        self.uncovered_then_covered(lie, least, tried, high)
    }

    /// The strongest dose that stays cool under one that does not; `Err` with what is too hot even at the least.
    fn between(&self, lie: Lie, least: DosePercent, high: Tried) -> Result<f64, Hottest> {
        let over_c = self.stays_cool(lie, least)?;
        self.uncovered_then_covered(lie, least, Tried { step: hundredths(least.get()), over_c }, high)
    }

    fn uncovered_then_covered(&self, lie: Lie, least: DosePercent, low: Tried, high: Tried) -> Result<f64, Hottest> {
        let found = strongest(low, high, |step| self.tried(lie, step, &[Top::Open]));
        let covered = self.tried(lie, found, &[Top::Covered]);
        if covered.over_c <= 0.0 {
            return Ok(found);
        }
        let low = Tried { step: hundredths(least.get()), over_c: self.stays_cool(lie, least)? };
        Ok(strongest(low, covered, |step| self.tried(lie, step, &[Top::Open, Top::Covered])))
    }

    /// How far over its limit the hottest is with nothing on `lie`, where all stays cool open and covered; else what does not.
    fn stays_cool(&self, lie: Lie, dose: DosePercent) -> Result<f64, Hottest> {
        let mut over_c = f64::NEG_INFINITY;
        for top in [Top::Open, Top::Covered] {
            let Some(hottest) = self.hottest(lie, dose, top) else { continue };
            if hottest.over_c() > 0.0 {
                return Err(hottest);
            }
            over_c = over_c.max(hottest.over_c());
        }
        Ok(over_c)
    }

    fn tried(&self, lie: Lie, step: f64, tops: &[Top]) -> Tried {
        let hottest = |top: &Top| self.hottest(lie, of_hundredths(step)?, *top);
        let over_c = tops.iter().filter_map(hottest).map(|hottest| hottest.over_c()).fold(f64::NEG_INFINITY, f64::max);
        Tried { step, over_c }
    }
}

/// The largest whole step that is not over, and near to it: `low` is not, `high` is. By the secant, and by halves where that
/// moves the same end twice.
fn strongest(low: Tried, high: Tried, tried: impl Fn(f64) -> Tried) -> f64 {
    let (mut low, mut high) = (low, high);
    let mut moved_low = None;
    let mut halve = false;
    while high.step - low.step > 1.0 && low.over_c < -CLOSE_C {
        let secant = (-low.over_c - CLOSE_C / 2.0) / (high.over_c - low.over_c);
        let share = if halve || !secant.is_finite() { 0.5 } else { secant };
        let step = low.step + share * (high.step - low.step);
        let here = tried(step.round().clamp(low.step + 1.0, high.step - 1.0));
        let moves_low = here.over_c <= 0.0;
        *(if moves_low { &mut low } else { &mut high }) = here;
        halve = moved_low == Some(moves_low) && !halve;
        moved_low = Some(moves_low);
    }
    low.step
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::cell::Cell;

    /// The strongest of 50 to 200 for which `over_c` is not over, and how many were tried.
    fn found(over_c: impl Fn(f64) -> f64) -> (f64, u32) {
        let tries = Cell::new(0);
        let at = |step| Tried { step, over_c: over_c(step) };
        let found = strongest(at(50.0), at(200.0), |step| {
            tries.set(tries.get() + 1);
            at(step)
        });
        (found, tries.get())
    }

    #[test]
    fn the_strongest_is_just_under() {
        let shapes: [fn(f64) -> f64; 4] = [
            |step| (step - 120.3) * 0.4,
            |step| 30.0 * (step / 71.0).ln(),
            |step| ((step - 180.0) / 30.0).exp() - 1.0,
            |step| if step < 97.5 { -20.0 } else { 40.0 },
        ];
        for over_c in shapes {
            let (step, tries) = found(over_c);
            let just_under = over_c(step) <= 0.0 && (over_c(step) > -CLOSE_C || over_c(step + 1.0) > 0.0);
            assert!(just_under && tries < 12, "{step} after {tries}: {}", over_c(step));
        }
    }

    #[test]
    fn the_least_is_taken_where_it_is_near_enough() {
        let (step, tries) = found(|step| step - 50.2);
        assert!((step - 50.0).abs() < 1e-12 && tries == 0, "{step} after {tries}");
    }
}

//! The strongest dose that stays cool.

use super::trial::{Hottest, Top};
use super::{Following, Lie, Like};
use crate::pour::plan::dose::{hundredths, of_hundredths};
use crate::root::narrowed;
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

impl Cooling {
    pub fn is_cool(&self) -> bool {
        matches!(self, Cooling::Cool)
    }

    /// Whether some dose stays cool.
    pub fn is_possible(&self) -> bool {
        !matches!(self, Cooling::TooHot(_))
    }
}

/// A dose in hundredths of a per cent, and how far the hottest is over its limit with it, °C.
type Step = (f64, f64);

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
            _ => self.between(lie, least, (hundredths(dose.get()), asked.over_c())),
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
        if tried.1 > 0.0 {
            return self.between(lie, least, tried);
        }
        self.uncovered_then_covered(lie, least, [tried, (hundredths(dose.get()), asked.over_c())])
    }

    /// The strongest dose that stays cool under one that does not; `Err` with what is too hot even at the least.
    fn between(&self, lie: Lie, least: DosePercent, high: Step) -> Result<f64, Hottest> {
        let over_c = self.stays_cool(lie, least)?;
        self.uncovered_then_covered(lie, least, [(hundredths(least.get()), over_c), high])
    }

    /// Between the `ends`, of which the lower stays cool with nothing poured on it and the upper does not.
    fn uncovered_then_covered(&self, lie: Lie, least: DosePercent, ends: [Step; 2]) -> Result<f64, Hottest> {
        let [(found, _), _] = narrowed(ends, CLOSE_C, |step| self.tried(lie, step, &[Top::Open]).1);
        let covered = self.tried(lie, found, &[Top::Covered]);
        if covered.1 <= 0.0 {
            return Ok(found);
        }
        let low = (hundredths(least.get()), self.stays_cool(lie, least)?);
        let both = |step| self.tried(lie, step, &[Top::Open, Top::Covered]).1;
        let [(found, _), _] = narrowed([low, covered], CLOSE_C, both);
        Ok(found)
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

    fn tried(&self, lie: Lie, step: f64, tops: &[Top]) -> Step {
        let hottest = |top: &Top| self.hottest(lie, of_hundredths(step)?, *top);
        let over_c = tops.iter().filter_map(hottest).map(|hottest| hottest.over_c()).fold(f64::NEG_INFINITY, f64::max);
        (step, over_c)
    }
}

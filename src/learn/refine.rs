//! A fit made into the figures of a profile.

use super::shop_fit::{ShopFit, Verdict};
use crate::cure::spread_factor;
use crate::material::{Changes, Stage, StageChange};
use crate::text::PlainText;
use crate::units::{Celsius, Hours, SpreadFactor};

/// A window keeps this length at least, as a factor.
const LEAST_WINDOW: f64 = 1.05;
/// A spread that rounds to nothing would be certainty.
const LEAST_SPREAD: f64 = 1.02;

/// The figures to write, and what had to be bent for them.
#[derive(Debug, Clone, PartialEq)]
pub struct Refinement {
    pub changes: Changes,
    /// Stages whose fitted time would have come before one that they follow from: moved to it.
    pub kept_in_order: Vec<Stage>,
}

/// Nothing was learned: there is no figure to write.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NothingLearned {
    #[error("nothing has been seen of it yet. Write down what you see, with 'nightpour seen' or o on the bench")]
    NoLooks,
    #[error("what was seen does not tell a time yet: look once shortly before a stage and once shortly after")]
    NotTold,
}

impl ShopFit {
    /// The profile's figures as this shop has them, learned on the day `on` from so many batches.
    pub fn refinement(&self, on: PlainText, batches: usize) -> Result<Refinement, NothingLearned> {
        if self.looks() == 0 {
            return Err(NothingLearned::NoLooks);
        }
        let learned = |verdict: &Verdict| matches!(verdict, Verdict::Learned { .. });
        if !self.stages.iter().any(learned) {
            return Err(NothingLearned::NotTold);
        }
        let mut stages: Vec<StageChange> = (0..self.model.stages.len()).map(|place| self.change(place)).collect();
        let kept_in_order = keep_in_order(&mut stages);
        let gel = self.model.place(Stage::Gel).map(|place| self.factor(place).0);
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        let changes = Changes {
            on,
            observations: count(self.looks()),
            batches: count(batches),
            law: self.rules.first().filter(|verdict| learned(verdict)).map(|_| self.rule(0).0.law),
            exponent: self.exponent().filter(|_| self.dose.as_ref().is_some_and(learned)).map(|(n, _)| n),
            cup: gel,
            stages,
        };
        Ok(Refinement { changes, kept_in_order })
    }

    fn change(&self, place: usize) -> StageChange {
        let term = &self.model.stages[place];
        let looks = self.data.iter().filter(|datum| datum.stage == place).count();
        let own_rule = term.rule > 0 && matches!(self.rules[term.rule], Verdict::Learned { .. });
        StageChange {
            stage: term.stage,
            observations: u32::try_from(looks).unwrap_or(u32::MAX),
            after: self.after(place),
            spread: self.spread_factor(place),
            law: own_rule.then(|| self.rule(term.rule).0.law),
            doubt: self.doubt(place),
            seen: self.seen_c(term.rule),
        }
    }

    /// Late over likely of a stage from batch to batch.
    pub fn spread_factor(&self, place: usize) -> SpreadFactor {
        let fitted = spread_factor(self.spread_of(place)).ok().filter(|fitted| fitted.get() >= LEAST_SPREAD);
        // Within bounds by construction; the widest there is stands in for what is wider.
        fitted.or_else(|| SpreadFactor::new(LEAST_SPREAD).ok()).unwrap_or(SpreadFactor::WIDEST)
    }

    /// The temperatures that looks of a rule's stages were at.
    fn seen_c(&self, rule: usize) -> Option<(Celsius, Celsius)> {
        let (least, most) = self.seen(rule);
        let (law, _) = self.rule(rule);
        let celsius = |warmth: f64| Celsius::new(law.law.celsius_of(warmth, law.reference)).ok();
        Some((celsius(least)?, celsius(most)?))
    }
}

/// Moves each stage that comes before one it follows from to that one; says which.
fn keep_in_order(stages: &mut [StageChange]) -> Vec<Stage> {
    let mut moved = Vec::new();
    // No stage follows from one that stands behind it there, so one pass does.
    for stage in Stage::ALL {
        let Some(place) = stages.iter().position(|change| change.stage == stage) else { continue };
        let before = stages.iter().filter(|earlier| stage.implies(earlier.stage));
        let least = |earlier: &StageChange| {
            let window = stage == Stage::NextLayerCloses && earlier.stage == Stage::NextLayerOpens;
            earlier.after.get() * if window { LEAST_WINDOW } else { 1.0 }
        };
        let least_h = before.map(least).fold(0.0, f64::max);
        if stages[place].after.get() < least_h
            && let Ok(after) = Hours::new(least_h)
        {
            stages[place].after = after;
            moved.push(stage);
        }
    }
    moved
}

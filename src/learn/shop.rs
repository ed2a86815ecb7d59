//! What is to be learned of one material, beside what its label says.
//!
//! `ln(age) = ln D + ln(shop factor of the stage) + n ln(dose_ref/dose) + own heat + ratio · σ · Z`, the age along the
//! temperature that was measured.

use super::prior::{BATCH_SHARE, EXPONENT_SD, RULE_SHARE, SHOP_SD, SPREAD_SD, STAGE_SD};
use super::shape::{Shape, eta_of};
use super::{datum::Datum, fit::Prior};
use crate::cure::{CureRule, RateLaw, log_sd};
use crate::material::{Stage, StageTime, ThermalCure};
use crate::units::{DosePercent, Hours};
use nalgebra::DVector;

/// A stage as the label has it.
#[derive(Debug, Clone, PartialEq)]
pub struct StageTerm {
    pub stage: Stage,
    /// At the reference temperature, dose and depth.
    pub label: Hours,
    /// Which of the rules it runs by.
    pub rule: usize,
    /// How its spread stands to the material's.
    pub(super) ratio: f64,
    /// Below this, °C, the reaction stops short of it.
    pub(super) least_c: Option<f64>,
}

/// A temperature rule as the label has it.
#[derive(Debug, Clone, PartialEq)]
pub struct RuleTerm {
    pub(super) rule: CureRule,
    /// The stage whose own it is; `None` for the material's.
    pub of: Option<Stage>,
}

impl RuleTerm {
    /// The law itself.
    pub fn law(&self) -> RateLaw {
        self.rule.law
    }
}

/// The dose as the label has it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DoseTerm {
    pub reference: DosePercent,
    pub exponent: f64,
}

/// The terms of a material: what the label says, before anything was seen.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopModel {
    pub stages: Vec<StageTerm>,
    pub rules: Vec<RuleTerm>,
    pub dose: Option<DoseTerm>,
    /// Of one batch against the next, ln(time).
    pub(super) spread: f64,
}

impl ShopModel {
    /// The terms of `label`, which must be as the label says: nothing learned in it.
    pub fn of(label: &ThermalCure) -> Self {
        let mut rules = vec![RuleTerm { rule: label.rule(label.law.value), of: None }];
        let spreads: Vec<f64> = label.stages.iter().map(|time| log_sd(time.spread.value)).collect();
        let typical = (spreads.iter().map(|sd| sd.ln()).sum::<f64>() / spreads.len().max(1) as f64).exp();
        let mut term = |(time, spread): (&StageTime, &f64)| {
            let rule = match time.law {
                Some(law) => {
                    rules.push(RuleTerm { rule: label.rule(law.value), of: Some(time.stage) });
                    rules.len() - 1
                }
                None => 0,
            };
            let (stage, after, least_c) = (time.stage, time.after.value, label.warmth_for(time));
            StageTerm { stage, label: after, rule, ratio: spread / typical, least_c }
        };
        let stages = label.stages.iter().zip(&spreads).map(&mut term).collect();
        let dose = label.reference_dose.zip(label.dose_exponent);
        let dose = dose.map(|(reference, n)| DoseTerm { reference: reference.value, exponent: n.value });
        Self { stages, rules, dose, spread: typical * BATCH_SHARE }
    }

    pub(super) fn shape(&self) -> Shape {
        Shape { stages: self.stages.len(), rules: self.rules.len(), dosed: self.dose.is_some() }
    }

    /// The place of a stage among the terms.
    pub fn place(&self, stage: Stage) -> Option<usize> {
        self.stages.iter().position(|term| term.stage == stage)
    }

    /// What common practice says of how far a shop is off its label. Stages of one shop are off together: each shop factor is
    /// the sum of the shop's own and of the stage's.
    pub(super) fn prior(&self) -> Prior {
        let shape = self.shape();
        let mut prior = Prior::none(shape);
        // The inverse of s² I + S² 1 1ᵀ (Sherman & Morrison 1950).
        let (own, shared) = (1.0 / (STAGE_SD * STAGE_SD), SHOP_SD * SHOP_SD);
        let together = own * own * shared / (1.0 + shape.stages as f64 * shared * own);
        for row in 0..shape.stages {
            for column in 0..shape.stages {
                let alone = if row == column { own } else { 0.0 };
                prior.precision[(shape.stage(row), shape.stage(column))] = alone - together;
            }
        }
        for (i, term) in self.rules.iter().enumerate() {
            let coefficient = term.rule.law.coefficient();
            prior.know(shape.rule(i), coefficient, rule_sd(term.rule.law));
        }
        if let (Some(place), Some(dose)) = (shape.dose(), self.dose) {
            prior.know(place, dose.exponent, EXPONENT_SD);
        }
        prior.know(shape.spread(), eta_of(self.spread), SPREAD_SD);
        prior
    }

    /// The label itself, and the label with every stage moved to where `data` lie in the middle: from the nearer of the two a
    /// climb does not mistake half the looks for slips.
    pub(super) fn starts(&self, data: &[Datum]) -> Vec<DVector<f64>> {
        let shape = self.shape();
        let label = self.prior().mean;
        let mut moved = label.clone();
        let mut off: Vec<f64> = data.iter().filter_map(|datum| self.off(datum, &label)).collect();
        off.sort_unstable_by(f64::total_cmp);
        if let Some(middle) = off.get(off.len() / 2) {
            for stage in 0..shape.stages {
                moved[shape.stage(stage)] = *middle;
            }
        }
        let mut wide = moved.clone();
        wide[shape.spread()] = eta_of(2.0 * self.spread);
        vec![label, moved, wide]
    }

    /// How far a look that bounds the stage from above lies off what `at` says, ln of time.
    fn off(&self, datum: &Datum, at: &DVector<f64>) -> Option<f64> {
        use super::datum::Span;
        let shape = self.shape();
        let age = |exposure: &super::exposure::Exposure| exposure.ln_age(at[shape.rule(datum.rule)]).value;
        let seen = match &datum.span {
            Span::After(_) => return None,
            Span::By(by) => age(by),
            Span::Between { after, by } => f64::midpoint(age(after), age(by)),
            Span::At { at, .. } => age(at),
        };
        let exponent = shape.dose().map_or(0.0, |place| at[place]);
        Some(seen - datum.offset - exponent * datum.strength)
    }
}

fn rule_sd(law: RateLaw) -> f64 {
    // A q10 of 1 does not move with the temperature, and is not known any better for that.
    (law.coefficient() * RULE_SHARE).max(match law {
        RateLaw::Q10(_) => 0.1,
        RateLaw::Arrhenius(_) => 5.0,
    })
}

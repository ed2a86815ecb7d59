//! Which trial cup would tell most.
//!
//! A cup looked after closely adds g gᵀ/(σ² + e²) to the information matrix for each stage seen, g the gradient of ln(time) by
//! the parameters and e the reading error. Of all cups that could be mixed, the one that shrinks the volume of what is
//! unknown most is taken: the largest ½ ln det(1 + Gᵀ C G W), C the covariance as it stands (D-optimal design, Wald 1943).

use super::shop_fit::ShopFit;
use crate::cure::dose_strength;
use crate::material::Stage;
use crate::units::{Celsius, DosePercent};
use nalgebra::{DMatrix, DVector};

/// A cup is looked at so often that a stage is known to this, ln of time (own working value: one twentieth).
const READING: f64 = 0.05;
/// Nobody sits by a cup for longer, hours.
const LONGEST_H: f64 = 12.0;
/// Benches differ by no less that can be set, °C.
const STEP_C: f64 = 1.0;
/// Doses tried between the least and the most.
const DOSES: u32 = 8;

/// What can be mixed and where it can stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrialRange {
    pub least: Celsius,
    pub most: Celsius,
    /// Least and most dose; `None` where there is none to choose.
    pub doses: Option<(DosePercent, DosePercent)>,
}

/// A trial cup, and what it would tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Trial {
    pub celsius: f64,
    pub dose: Option<DosePercent>,
    /// Information gained, nats.
    pub gain: f64,
    /// Stages worth waiting for, with the hours after which each is likely.
    pub stages: Vec<(Stage, f64)>,
    /// Standard deviation of each parameter after it, in the order of stages, rules, dose exponent, spread.
    sd: DVector<f64>,
}

impl Trial {
    /// ln of the stage's shop factor would be known to this.
    pub fn stage_sd(&self, fit: &ShopFit, stage: usize) -> f64 {
        self.sd[fit.model.shape().stage(stage)]
    }

    /// The coefficient of the rule would be known to this.
    pub fn rule_sd(&self, fit: &ShopFit, rule: usize) -> f64 {
        self.sd[fit.model.shape().rule(rule)]
    }

    /// The dose exponent would be known to this.
    pub fn dose_sd(&self, fit: &ShopFit) -> Option<f64> {
        fit.model.shape().dose().map(|place| self.sd[place])
    }
}

impl ShopFit {
    /// The cup within `range` that would tell most; `None` where no stage comes within a sitting.
    pub fn best_trial(&self, range: &TrialRange) -> Option<Trial> {
        let mut best: Option<Trial> = None;
        let mut celsius = range.least.get();
        while celsius <= range.most.get() + 1e-9 {
            for dose in doses(range) {
                let trial = self.trial(celsius, dose);
                if !trial.stages.is_empty() && best.as_ref().is_none_or(|best| trial.gain > best.gain + 1e-9) {
                    best = Some(trial);
                }
            }
            celsius += STEP_C;
        }
        best
    }

    /// What a cup at `celsius` with `dose` would tell.
    pub fn trial(&self, celsius: f64, dose: Option<DosePercent>) -> Trial {
        let shape = self.model.shape();
        let strength = dose_strength(self.model.dose.map(|dose| dose.reference), dose);
        let mut covariance = self.fit.covariance.clone();
        let (mut gain, mut stages) = (0.0, Vec::new());
        for (i, term) in self.model.stages.iter().enumerate() {
            let (rule, _) = self.rule(term.rule);
            let exponent = self.exponent().map_or(0.0, |(n, _)| n);
            let hours = self.after(i).get() * (exponent * strength).exp() / rule.rate(celsius);
            let never = term.least_c.is_some_and(|least_c| celsius < least_c);
            // The end of a chance is not seen coming.
            if never || hours > LONGEST_H || hours.is_nan() || term.stage.is_deadline() {
                continue;
            }
            let mut gradient = DVector::zeros(shape.len());
            gradient[shape.stage(i)] = 1.0;
            gradient[shape.rule(term.rule)] = -rule.law.warmth(celsius, rule.reference);
            if let Some(place) = shape.dose() {
                gradient[place] = strength;
            }
            gain += take_in(&mut covariance, &gradient, self.spread_of(i).hypot(READING));
            stages.push((term.stage, hours));
        }
        let sd = covariance.diagonal().map(f64::sqrt);
        Trial { celsius, dose, gain, stages, sd }
    }
}

/// The covariance after one more look of ln(time) = gradient · parameters with `sd` (Kalman 1960); the gain in nats.
fn take_in(covariance: &mut DMatrix<f64>, gradient: &DVector<f64>, sd: f64) -> f64 {
    let reach = &*covariance * gradient;
    let variance = gradient.dot(&reach) + sd * sd;
    *covariance -= &reach * reach.transpose() / variance;
    0.5 * (variance / (sd * sd)).ln()
}

fn doses(range: &TrialRange) -> Vec<Option<DosePercent>> {
    let Some((least, most)) = range.doses else { return vec![None] };
    let step = (most.get() / least.get()).ln() / f64::from(DOSES);
    let dose = |i: u32| {
        let percent = least.get() * (step * f64::from(i)).exp();
        DosePercent::new((percent * 20.0).round() / 20.0).ok()
    };
    (0..=DOSES).map(dose).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::TemperatureCurve;
    use crate::learn::{Look, ShopModel};
    use crate::material::Catalogue;
    use std::sync::Arc;

    fn polyester(looks_at: &[f64]) -> ShopFit {
        let catalogue = Catalogue::embedded();
        let model = ShopModel::of(catalogue.find("clear-polyester").unwrap().profile.thermal().unwrap());
        let look = |c: &f64| Look {
            stage: Stage::Gel,
            after_h: Some(0.45 * 2f64.powf((20.0 - c) / 10.0)),
            by_h: Some(0.5 * 2f64.powf((20.0 - c) / 10.0)),
            bench: Arc::new(TemperatureCurve::constant(Celsius::new(*c).unwrap())),
            dose: DosePercent::new(1.0).ok(),
            own_heat: 0.0,
            guessed: false,
        };
        ShopFit::of(model, &looks_at.iter().map(look).collect::<Vec<_>>()).unwrap()
    }

    fn range() -> TrialRange {
        let dose = |percent| DosePercent::new(percent).unwrap();
        let c = |c| Celsius::new(c).unwrap();
        TrialRange { least: c(14.0), most: c(31.0), doses: Some((dose(0.5), dose(2.0))) }
    }

    #[test]
    fn after_looks_on_a_cool_bench_a_warm_cup_tells_most() {
        let fit = polyester(&[15.0, 15.0, 15.0, 16.0]);
        let best = fit.best_trial(&range()).unwrap();
        assert!(best.celsius > 25.0, "{best:?}");
        assert!(best.rule_sd(&fit, 0) < 0.7 * fit.rule(0).1);
        let warm = polyester(&[30.0, 31.0, 31.0, 30.0]).best_trial(&range()).unwrap();
        assert!(warm.celsius < 20.0, "{warm:?}");
    }

    #[test]
    fn the_gain_is_that_of_the_determinants() {
        let fit = polyester(&[18.0, 20.0]);
        let trial = fit.trial(25.0, DosePercent::new(1.5).ok());
        // ½ ln(det before / det after), the parameters all together, by a textbook identity.
        let mut after = fit.fit.covariance.clone();
        let before = after.clone();
        let gradient = |stage: Stage| {
            let place = fit.model.place(stage).unwrap();
            let mut gradient = DVector::zeros(before.nrows());
            let rule = fit.rule(fit.model.stages[place].rule).0;
            gradient[place] = 1.0;
            gradient[fit.model.shape().rule(fit.model.stages[place].rule)] = -rule.law.warmth(25.0, rule.reference);
            gradient[fit.model.shape().dose().unwrap()] = (1.0f64 / 1.5).ln();
            (gradient, fit.spread_of(place).hypot(READING))
        };
        for (stage, _) in &trial.stages {
            let (gradient, sd) = gradient(*stage);
            let information = after.clone().try_inverse().unwrap() + &gradient * gradient.transpose() / (sd * sd);
            after = information.try_inverse().unwrap();
        }
        let gain = 0.5 * (before.determinant() / after.determinant()).ln();
        assert!((trial.gain - gain).abs() < 1e-6 * gain, "{} {gain}", trial.gain);
    }
}

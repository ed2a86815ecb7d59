//! What a shop's figures say of a batch: when a stage comes, with what is still unknown of the figures in the band.

use super::shop_fit::ShopFit;
use crate::cure::{AgeCurve, StageDoubt, TemperatureCurve, dose_strength, normal_quantile};
use crate::material::Stage;
use crate::units::DosePercent;

/// A batch to predict.
#[derive(Debug, Clone, Copy)]
pub struct Setting<'a> {
    /// The bench in hours from first contact.
    pub bench: &'a TemperatureCurve,
    pub dose: Option<DosePercent>,
    /// As in [`super::Look`].
    pub own_heat: f64,
}

/// When a stage comes: ln(age) is normal about ln(`age_h`) with `sd`.
#[derive(Debug, Clone)]
pub struct Prediction {
    ages: AgeCurve,
    age_h: f64,
    sd: f64,
    least_c: Option<f64>,
}

impl ShopFit {
    /// The posterior predictive of `stage`; `None` where the material has no such stage.
    pub fn predict(&self, stage: Stage, setting: &Setting<'_>) -> Option<Prediction> {
        let place = self.model.place(stage)?;
        let (rule, _) = self.rule(self.model.stages[place].rule);
        let strength = dose_strength(self.model.dose.map(|dose| dose.reference), setting.dose);
        let exponent = self.exponent().map_or(0.0, |(n, _)| n);
        let age_h = self.after(place).get() * (exponent * strength + setting.own_heat).exp();
        let ages = AgeCurve::new(setting.bench, rule, 0.0);
        let doubt = StageDoubt { doubt: self.doubt(place), strength };
        let sd = self.spread_of(place).hypot(doubt.sd(&ages, age_h, ages.reach(age_h).unwrap_or(f64::INFINITY)));
        Some(Prediction { ages, age_h, sd, least_c: self.model.stages[place].least_c })
    }
}

impl Prediction {
    /// Hours from first contact by which it is there with probability `p`; `None` where it never is.
    pub fn hours(&self, p: f64) -> Option<f64> {
        self.ages.reach_where_warm(self.age_h * (self.sd * normal_quantile(p)).exp(), self.least_c)
    }

    /// Standard deviation of ln(age).
    pub fn sd(&self) -> f64 {
        self.sd
    }
}

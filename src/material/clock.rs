//! What a profile's clocks run by: the rule of each stage, and the age it needs at a dose.

use super::profile::{StageTime, ThermalCure};
use super::stage::Stage;
use crate::cure::{AgeCurve, CureRule, RateLaw, TemperatureCurve, dose_factor, dose_strength};
use crate::units::{DosePercent, Hours};

impl ThermalCure {
    /// `law` with this material's reference temperature and floor.
    pub fn rule(&self, law: RateLaw) -> CureRule {
        CureRule { law, reference: self.reference_temperature.value, floor: Some(self.floor.value) }
    }

    /// The rule a stage runs by: its own, or the material's.
    pub fn rule_of(&self, time: &StageTime) -> CureRule {
        self.rule(time.law.unwrap_or(self.law).value)
    }

    /// How much longer everything takes at `dose` than at the reference dose, `(dose_ref / dose)^n`; 1 where the dose is
    /// fixed or unknown.
    pub fn slower_at(&self, dose: Option<DosePercent>) -> f64 {
        match (self.reference_dose, self.dose_exponent, dose) {
            (Some(reference), Some(exponent), Some(dose)) => dose_factor(reference.value, dose, exponent.value),
            _ => 1.0,
        }
    }

    /// `ln(dose_ref / dose)`; 0 where the dose is fixed or unknown.
    pub fn strength(&self, dose: Option<DosePercent>) -> f64 {
        dose_strength(self.reference_dose.map(|reference| reference.value), dose)
    }

    /// The age at which half of all batches of this dose have reached a stage.
    pub fn age(&self, time: &StageTime, dose: Option<DosePercent>) -> Hours {
        Hours::new(time.after.value.get() * self.slower_at(dose)).unwrap_or(time.after.value)
    }

    /// How long after first contact at `from_h` a stage is likely, hours, on the temperature of the bench alone; `None`
    /// where it never is.
    pub fn after_h(
        &self,
        time: &StageTime,
        dose: Option<DosePercent>,
        bench: &TemperatureCurve,
        from_h: f64,
    ) -> Option<f64> {
        let reached_h = AgeCurve::new(bench, self.rule_of(time), from_h).reach(self.age(time, dose).get())?;
        Some(reached_h - from_h)
    }

    /// How long a stage takes with the resin's own heat, hours: `own_h` says what the heat model makes of each stage, `plain_h`
    /// what the bench alone makes of it. A window is never longer than by the bench alone: that a layer has little heat makes
    /// it open later, and does not promise more time.
    pub fn own_h(
        &self,
        time: &StageTime,
        own_h: impl Fn(Stage) -> Option<f64>,
        plain_h: impl Fn(&StageTime) -> Option<f64>,
    ) -> Option<f64> {
        let at_most = |time: &StageTime, most: f64| {
            let own_h = own_h(time.stage)?;
            Some(plain_h(time).map_or(own_h, |plain_h| own_h.min(most * plain_h)))
        };
        match time.stage {
            // Nor does a small cup promise more time than the label.
            Stage::PotLife => at_most(time, 1.0),
            Stage::NextLayerCloses => {
                let opens = self.stage(Stage::NextLayerOpens);
                let later_h = opens.and_then(|opens| Some(at_most(opens, LATEST)? - plain_h(opens)?));
                Some(own_h(time.stage)?.min(plain_h(time)? + later_h.unwrap_or(0.0)))
            }
            _ => at_most(time, LATEST),
        }
    }
}

/// A layer that keeps cooler than the cup or layer its profile speaks of is not said to take more than so many times as long:
/// beyond that nobody has looked, and an alarm that comes too early is only a look too many (own working value).
const LATEST: f64 = 3.0;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::Knot;
    use crate::material::{Catalogue, Stage};
    use crate::units::Celsius;

    fn gel_h(percent: Option<f64>, bench: &TemperatureCurve, from_h: f64) -> Option<f64> {
        let catalogue = Catalogue::embedded();
        let cure = catalogue.find("clear-polyester").unwrap().profile.thermal().unwrap();
        let dose = percent.map(|percent| DosePercent::new(percent).unwrap());
        cure.after_h(cure.stage(Stage::Gel).unwrap(), dose, bench, from_h)
    }

    #[test]
    fn at_its_own_temperature_and_dose_a_stage_takes_what_the_profile_says() {
        let bench = TemperatureCurve::constant(Celsius::new(20.0).unwrap());
        for dose in [None, Some(1.0)] {
            assert!((gel_h(dose, &bench, 7.0).unwrap() - 0.5).abs() < 1e-12);
        }
        // 30 min × (1 / 0.5)^0.9 = 55.98 min.
        assert!((gel_h(Some(0.5), &bench, 0.0).unwrap() * 60.0 - 55.98).abs() < 0.01);
    }

    #[test]
    fn it_counts_from_the_pour_and_never_comes_in_the_cold() {
        let knot = |at_h, c| Knot { at_h, celsius: Celsius::new(c).unwrap() };
        let bench = TemperatureCurve::new(vec![knot(0.0, 20.0), knot(10.0, 30.0)]).unwrap();
        let (first, late) = (gel_h(None, &bench, 0.0).unwrap(), gel_h(None, &bench, 12.0).unwrap());
        assert!(first < 0.5 && (late - 0.25).abs() < 1e-12, "{first} {late}");
        assert_eq!(gel_h(None, &TemperatureCurve::constant(Celsius::new(5.0).unwrap()), 0.0), None);
    }
}

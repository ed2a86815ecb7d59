//! When a stage is reached: its cure age, its dose, its band.

use super::age::AgeCurve;
use super::band::{Band, conditional_z, log_sd};
use super::outlook::Outlook;
use crate::units::{DosePercent, Hours, SpreadFactor};

/// What a stage needs, before temperature: the age at which half of all batches have reached it, and the spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageModel {
    /// `D_ref · (dose_ref/dose)^n`, in hours at the reference temperature.
    pub age: Hours,
    pub spread: SpreadFactor,
}

/// `(dose_ref / dose)^n`: how much longer a weaker dose takes. Dimensionless.
pub fn dose_factor(reference: DosePercent, dose: DosePercent, exponent: f64) -> f64 {
    (reference.get() / dose.get()).powf(exponent)
}

/// The factor on the dose that keeps every stage's time where the material cures `rate` times as fast: from
/// `t = D (dose_ref/dose)^n / rate`, the time stays where dose goes as rate^(−1/n). Dimensionless.
pub fn dose_for_rate(rate: f64, exponent: f64) -> f64 {
    rate.powf(-1.0 / exponent)
}

impl StageModel {
    /// The clock hours at which the stage is reached, early, likely and late; `None` where the clock stands for good.
    ///
    /// ln(age) is normal about ln(self.age). Two spreads add in variance: the stage's own, and that of the forecast
    /// temperature, whose error e moves the part of the age still ahead by a factor exp(b e), b the rule's sensitivity;
    /// to first order this is a spread of b · sd · (share of the age still ahead) in ln(age).
    ///
    /// `not_before_h`: a clock hour at which the stage was surely not reached; the band is then conditioned on it.
    pub fn predict(&self, ages: &AgeCurve, outlook: &Outlook, not_before_h: Option<f64>) -> Band<Option<f64>> {
        let own = log_sd(self.spread);
        let needed = self.age.get();
        let known = outlook.measured_until_h.map_or(0.0, |until| ages.age_at(until)).min(needed);
        let ahead_share = if needed > 0.0 { (needed - known) / needed } else { 0.0 };
        let likely_h = ages.reach(needed).unwrap_or(outlook.now_h);
        let forecast =
            ages.rule().law.sensitivity_per_c(ages.held_c()) * outlook.mean_temperature_sd_c(likely_h) * ahead_share;
        let sd = own.hypot(forecast);
        let above = not_before_h.map_or(f64::NEG_INFINITY, |at| (ages.age_at(at) / needed).ln() / sd);
        Band::from_fn(|q| ages.reach(needed * (sd * conditional_z(q.probability(), above)).exp()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::{CureRule, Knot, RateLaw, TemperatureCurve};
    use crate::units::{Celsius, Q10};
    use proptest::prelude::*;

    fn ages(t: f64, floor: f64) -> AgeCurve {
        let c = |v| Celsius::new(v).unwrap();
        let rule = CureRule { law: RateLaw::Q10(Q10::new(2.0).unwrap()), reference: c(20.0), floor: Some(c(floor)) };
        let curve = TemperatureCurve::new(vec![Knot { at_h: 0.0, celsius: c(t) }]).unwrap();
        AgeCurve::new(&curve, rule, 0.0)
    }

    fn model(hours: f64) -> StageModel {
        StageModel { age: Hours::new(hours).unwrap(), spread: SpreadFactor::new(1.4).unwrap() }
    }

    const FRESH: Outlook = Outlook { measured_until_h: Some(0.0), now_h: 0.0 };

    #[test]
    fn ten_degrees_colder_takes_twice_as_long() {
        let warm = model(1.0).predict(&ages(20.0, 0.0), &FRESH, None).likely.unwrap();
        let cold = model(1.0).predict(&ages(10.0, 0.0), &FRESH, None).likely.unwrap();
        assert!((warm - 1.0).abs() < 1e-12 && (cold - 2.0).abs() < 1e-12);
    }

    #[test]
    fn below_the_floor_it_is_never() {
        assert_eq!(model(1.0).predict(&ages(9.0, 10.0), &FRESH, None), Band { early: None, likely: None, late: None });
    }

    #[test]
    fn not_yet_moves_the_whole_band_past_the_look() {
        let band = model(1.0).predict(&ages(20.0, 0.0), &FRESH, Some(1.3));
        assert!(band.early.unwrap() > 1.3);
        assert!(band.early < band.likely && band.likely < band.late);
    }

    #[test]
    fn silence_widens_the_band() {
        let width = |now_h| {
            let band = model(6.0).predict(&ages(20.0, 0.0), &Outlook { measured_until_h: Some(0.0), now_h }, None);
            (band.late.unwrap() / band.early.unwrap()).ln()
        };
        assert!((width(0.4) - width(0.0)).abs() < 1e-12, "a fresh reading's age costs nothing");
        assert!(width(1.0) > width(0.0) && width(3.0) > width(1.0));
    }

    #[test]
    fn nothing_measured_is_wider_than_something_measured() {
        let width = |measured_until_h| {
            let band = model(2.0).predict(&ages(20.0, 0.0), &Outlook { measured_until_h, now_h: 0.0 }, None);
            band.late.unwrap() / band.early.unwrap()
        };
        assert!(width(None) > width(Some(0.0)));
    }

    proptest! {
        #[test]
        fn a_stronger_dose_is_never_slower(a in 0.3f64..4.0, b in 0.3f64..4.0, n in 0.0f64..1.5) {
            let d = |v| DosePercent::new(v).unwrap();
            prop_assert!(dose_factor(d(1.0), d(a.max(b)), n) <= dose_factor(d(1.0), d(a.min(b)), n));
        }

        #[test]
        fn bands_are_in_order(t in 10.0f64..35.0, hours in 0.05f64..200.0, silent in 0.0f64..20.0, looked in prop::option::of(0.0f64..300.0)) {
            let outlook = Outlook { measured_until_h: Some(0.0), now_h: silent };
            let band = model(hours).predict(&ages(t, 0.0), &outlook, looked);
            let (early, likely, late) = (band.early.unwrap(), band.likely.unwrap(), band.late.unwrap());
            prop_assert!(early <= likely && likely <= late);
            prop_assert!(looked.is_none_or(|at| early >= at - 1e-9));
        }
    }
}

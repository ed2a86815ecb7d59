//! When a stage is reached: its cure age, its dose, its band.

use super::age::AgeCurve;
use super::band::{Band, conditional_z, log_sd};
use super::doubt::Doubt;
use super::outlook::Outlook;
use crate::units::{DosePercent, Hours, SpreadFactor};

/// What a stage needs, before temperature: the age at which half of all batches have reached it, and the spread.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageModel {
    /// `D_ref · (dose_ref/dose)^n`, in hours at the reference temperature.
    pub age: Hours,
    pub spread: SpreadFactor,
    /// Below this, °C, the reaction stops short of the stage: it is reached with its age, or later when it is warm enough.
    pub least_c: Option<f64>,
    /// What is still unknown of learned figures; `None` where the spread says it all.
    pub doubt: Option<StageDoubt>,
}

/// What is unknown of a stage's learned figures, for one batch.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StageDoubt {
    pub doubt: Doubt,
    /// `ln(dose_ref/dose)`.
    pub strength: f64,
}

/// `ln(dose_ref / dose)`; 0 where the dose is fixed or unknown.
pub fn dose_strength(reference: Option<DosePercent>, dose: Option<DosePercent>) -> f64 {
    reference.zip(dose).map_or(0.0, |(reference, dose)| (reference.get() / dose.get()).ln())
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
    /// The clock hours at which the stage is reached, early, likely and late; `None` where the clock stands for good, or the
    /// reaction stops short of it.
    ///
    /// `not_before_h`: a clock hour at which the stage was surely not reached; the band is then conditioned on it.
    pub fn predict(&self, ages: &AgeCurve, outlook: &Outlook, not_before_h: Option<f64>) -> Band<Option<f64>> {
        let law = self.law(ages, outlook, not_before_h);
        Band::from_fn(|q| law.quantile_h(q.probability()))
    }

    /// How the moment at which the stage is reached is distributed, for what began with `ages`.
    pub fn law<'a>(&'a self, ages: &'a AgeCurve, outlook: &Outlook, not_before_h: Option<f64>) -> StageLaw<'a> {
        let needed = self.age.get();
        let known = outlook.measured_until_h.map_or(0.0, |until| ages.age_at(until)).min(needed);
        let ahead_share = if needed > 0.0 { (needed - known) / needed } else { 0.0 };
        let likely_h = ages.reach(needed).unwrap_or(outlook.now_h);
        let sd = self.log_sd(ages, likely_h, outlook.mean_temperature_sd_c(likely_h) * ahead_share);
        // Not reached in the cold says nothing of the age: what counts is the age when it was last warm enough.
        let tried_h = not_before_h.and_then(|at| self.least_c.map_or(Some(at), |least| ages.warm_until(at, least)));
        let above = tried_h.map_or(f64::NEG_INFINITY, |at| (ages.age_at(at) / needed).ln() / sd);
        StageLaw { model: self, ages, sd, above }
    }

    /// Standard deviation of ln(age) for a stage that is likely `likely_h` after its start, with the temperature until then
    /// so uncertain, °C.
    ///
    /// ln(age) is normal about ln(self.age). Three spreads add in variance: the stage's own, what is unknown of learned
    /// figures ([`Doubt`]), taken at the temperature that gives the age in as many hours, and that of the forecast
    /// temperature, whose error e moves the part of the age still ahead by a factor exp(b e), b the rule's sensitivity; to
    /// first order this is a spread of b · sd · (share of the age still ahead) in ln(age).
    pub fn log_sd(&self, ages: &AgeCurve, likely_h: f64, temperature_sd_c: f64) -> f64 {
        let forecast = ages.rule().law.sensitivity_per_c(ages.held_c()) * temperature_sd_c;
        let doubt = self.doubt.map_or(0.0, |doubt| doubt.sd(ages, self.age.get(), likely_h));
        log_sd(self.spread).hypot(forecast).hypot(doubt)
    }
}

/// The distribution of the moment at which a stage is reached.
#[derive(Debug, Clone, Copy)]
pub struct StageLaw<'a> {
    model: &'a StageModel,
    ages: &'a AgeCurve,
    sd: f64,
    above: f64,
}

impl StageLaw<'_> {
    /// The clock hour by which it is reached with the chance `p`; `None` where it never is.
    pub fn quantile_h(&self, p: f64) -> Option<f64> {
        let age_h = self.model.age.get() * (self.sd * conditional_z(p, self.above)).exp();
        self.ages.reach_where_warm(age_h, self.model.least_c)
    }
}

impl StageDoubt {
    /// Standard deviation of ln(age) for a stage that needs `age_h` and is likely at `likely_h`; infinite: never.
    pub fn sd(&self, ages: &AgeCurve, age_h: f64, likely_h: f64) -> f64 {
        let rule = ages.rule();
        let coefficient = rule.law.coefficient();
        let mean_rate = age_h / likely_h;
        let warmth = if coefficient > FLAT && mean_rate > 0.0 && mean_rate.is_finite() {
            mean_rate.ln() / coefficient
        } else {
            rule.law.warmth(ages.held_c(), rule.reference)
        };
        // Hours in which the clock stood make nothing colder.
        let floor = rule.floor.map_or(f64::NEG_INFINITY, |floor| rule.law.warmth(floor.get(), rule.reference));
        let warmth = warmth.max(floor);
        self.doubt.sd(coefficient, warmth, self.strength)
    }
}

/// Below this coefficient a rate says nothing of the temperature.
const FLAT: f64 = 1e-6;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::{CureRule, Knot, RateLaw, RoomSpread, TemperatureCurve};
    use crate::units::{Celsius, Q10};
    use proptest::prelude::*;

    fn ages(t: f64, floor: f64) -> AgeCurve {
        ages_along(&[(0.0, t)], floor)
    }

    fn ages_along(knots: &[(f64, f64)], floor: f64) -> AgeCurve {
        let c = |v| Celsius::new(v).unwrap();
        let rule = CureRule { law: RateLaw::Q10(Q10::new(2.0).unwrap()), reference: c(20.0), floor: Some(c(floor)) };
        let knots = knots.iter().map(|&(at_h, t)| Knot { at_h, celsius: c(t) }).collect();
        AgeCurve::new(&TemperatureCurve::new(knots).unwrap(), rule, 0.0)
    }

    fn model(hours: f64) -> StageModel {
        StageModel {
            age: Hours::new(hours).unwrap(),
            spread: SpreadFactor::new(1.4).unwrap(),
            least_c: None,
            doubt: None,
        }
    }

    const FRESH: Outlook = Outlook { measured_until_h: Some(0.0), now_h: 0.0, spread: RoomSpread::Unwatched };

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

    /// The same, but only where it is 16 °C.
    fn needing_16_c(hours: f64) -> StageModel {
        StageModel { least_c: Some(16.0), ..model(hours) }
    }

    #[test]
    fn where_the_reaction_stops_short_it_is_never() {
        let never = Band { early: None, likely: None, late: None };
        assert_eq!(needing_16_c(1.0).predict(&ages(15.9, 5.0), &FRESH, None), never);
        let warm = ages(16.0, 5.0);
        assert_eq!(needing_16_c(1.0).predict(&warm, &FRESH, None), model(1.0).predict(&warm, &FRESH, None));
    }

    #[test]
    fn what_was_old_enough_comes_with_the_warmth() {
        // 10 °C for 40 h is an age of 20 h; then 2 °C an hour: 16 °C after 43 h.
        let ages = ages_along(&[(0.0, 10.0), (40.0, 10.0), (45.0, 20.0)], 5.0);
        let aged = needing_16_c(5.0).predict(&ages, &FRESH, None);
        assert_eq!(aged, Band { early: Some(43.0), likely: Some(43.0), late: Some(43.0) });
        let young = needing_16_c(100.0).predict(&ages, &FRESH, None);
        assert_eq!(young, model(100.0).predict(&ages, &FRESH, None));
    }

    #[test]
    fn not_yet_in_the_cold_says_nothing_of_the_age() {
        let ages = ages_along(&[(0.0, 10.0), (40.0, 10.0), (45.0, 20.0)], 5.0);
        let looked = |at| needing_16_c(5.0).predict(&ages, &FRESH, Some(at));
        assert_eq!(looked(30.0), needing_16_c(5.0).predict(&ages, &FRESH, None));
        assert!(looked(44.0).early.unwrap() > 44.0, "then it was warm");
        // Warm for the first hour and a half only: what was not there when it cooled comes when it is warm again.
        let cooled = ages_along(&[(0.0, 20.0), (1.0, 20.0), (2.0, 12.0), (9.0, 12.0), (10.0, 20.0)], 5.0);
        let band = needing_16_c(1.0).predict(&cooled, &FRESH, Some(5.0));
        assert_eq!((band.early, band.likely), (Some(9.5), Some(9.5)));
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
            let band = model(6.0).predict(&ages(20.0, 0.0), &Outlook { now_h, ..FRESH }, None);
            (band.late.unwrap() / band.early.unwrap()).ln()
        };
        assert!((width(0.4) - width(0.0)).abs() < 1e-12, "a fresh reading's age costs nothing");
        assert!(width(1.0) > width(0.0) && width(3.0) > width(1.0));
    }

    #[test]
    fn nothing_measured_is_wider_than_something_measured() {
        let width = |measured_until_h| {
            let band = model(2.0).predict(&ages(20.0, 0.0), &Outlook { measured_until_h, ..FRESH }, None);
            band.late.unwrap() / band.early.unwrap()
        };
        assert!(width(None) > width(Some(0.0)));
    }

    proptest! {
        #[test]
        fn a_doubt_never_narrows_a_band(t in 8.0f64..30.0, hours in 0.1f64..20.0, ff in 0.0f64..0.2, tt in 0.0f64..0.1) {
            let with = |doubt: Option<[f64; 6]>| {
                let doubt = doubt.map(|c| StageDoubt { doubt: Doubt::new(c, (-0.5, 0.5)).unwrap(), strength: 0.3 });
                let band = StageModel { doubt, ..model(hours) }.predict(&ages(t, 0.0), &FRESH, None);
                (band.late.unwrap() / band.early.unwrap()).ln()
            };
            let (narrow, wide) = (with(Some([ff, 0.0, 0.0, tt, 0.0, 0.01])), with(Some([ff + 0.1, 0.0, 0.0, tt, 0.0, 0.01])));
            prop_assert!(with(None) <= narrow + 1e-12 && narrow < wide);
        }

        #[test]
        fn a_stronger_dose_is_never_slower(a in 0.3f64..4.0, b in 0.3f64..4.0, n in 0.0f64..1.5) {
            let d = |v| DosePercent::new(v).unwrap();
            prop_assert!(dose_factor(d(1.0), d(a.max(b)), n) <= dose_factor(d(1.0), d(a.min(b)), n));
        }

        #[test]
        fn bands_are_in_order(t in 10.0f64..35.0, hours in 0.05f64..200.0, silent in 0.0f64..20.0, looked in prop::option::of(0.0f64..300.0)) {
            let outlook = Outlook { now_h: silent, ..FRESH };
            let band = model(hours).predict(&ages(t, 0.0), &outlook, looked);
            let (early, likely, late) = (band.early.unwrap(), band.likely.unwrap(), band.late.unwrap());
            prop_assert!(early <= likely && likely <= late);
            prop_assert!(looked.is_none_or(|at| early >= at - 1e-9));
        }
    }
}

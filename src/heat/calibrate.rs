//! From the three figures of a standard cup to the reaction.
//!
//! Three unknowns, k1, k2 and the heat, and three figures. Nested, each found where it moves one figure one way only: for a
//! ratio k2/k1 and a heat, the speed that gives the gel time; for a ratio, the heat that gives the peak; and the ratio
//! that gives the time to the peak. The last is looked for on a ladder of ratios, because it may turn round.

use super::cup::Cup;
use super::kinetics::{Kinetics, Resin};
use crate::cure::TemperatureCurve;
use crate::root::rising_root;
use crate::units::Celsius;
use nalgebra::{Matrix3, Vector3};

/// What a data sheet prints for its standard cup (gel time, time to peak, peak exotherm: ASTM D2471).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CupTest {
    pub mass_g: f64,
    /// Of the resin at first contact, and of the room.
    pub start: Celsius,
    pub gel_s: f64,
    pub peak_after_s: f64,
    pub peak: Celsius,
    /// Share reacted at the gel point.
    pub gel_conversion: f64,
}

/// No reaction of this kind does what the three figures say.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum NoSuchMaterial {
    #[error(
        "the peak cannot come that soon: with this gel time and this peak, {soonest_s:.0} s after first contact is the soonest"
    )]
    PeakTooSoon { soonest_s: f64 },
    #[error(
        "the peak cannot come that late: with this gel time and this peak, {latest_s:.0} s after first contact is the latest"
    )]
    PeakTooLate { latest_s: f64 },
    #[error("a peak that hot would take more than {most_j_per_g:.0} J/g, which no casting resin gives")]
    TooHot { most_j_per_g: f64 },
}

/// More than this no casting resin gives (acrylates and styrene come nearest; common practice), J/kg.
const MOST_HEAT: f64 = 700e3;

/// k2/k1 that are tried, from a reaction that does not feed on itself to one that does nothing else.
const RATIOS: [f64; 11] = [0.0, 1.0, 4.0, 12.0, 30.0, 80.0, 250.0, 1e3, 5e3, 3e4, 3e5];

/// How exactly the logarithms of speed, heat and ratio are found.
const EXACT: f64 = 1e-7;

/// Newton on all three at once begins at these ratios; it takes a handful of steps where the nested search takes hundreds.
const BEGINNINGS: [f64; 3] = [1e3, 30.0, 4.0];
const NEWTON_STEPS: u32 = 12;
/// The longest step in a logarithm.
const LONGEST: f64 = 1.0;
/// The step by which slopes are taken.
const NUDGE: f64 = 1e-5;

/// Finds k1, k2 and the heat with which a cup shows the three figures of `test`, and puts them into `resin`, of which
/// everything else counts. Newton first; where that does not come together, the nested search, which also knows why.
pub fn calibrate(test: &CupTest, resin: Resin) -> Result<Resin, NoSuchMaterial> {
    let search = Search { test, resin, bench: TemperatureCurve::constant(test.start) };
    BEGINNINGS.iter().find_map(|ratio| search.newton(*ratio)).map_or_else(|| search.nested(), Ok)
}

struct Search<'a> {
    test: &'a CupTest,
    resin: Resin,
    bench: TemperatureCurve,
}

impl Search<'_> {
    /// Time to gel in hours, peak in °C, time to peak in hours.
    fn shows(&self, resin: &Resin) -> [f64; 3] {
        Cup { mass_g: self.test.mass_g }.gel_and_peak(resin, self.test.gel_conversion, &self.bench)
    }

    fn resin(&self, k1_per_s: f64, ratio: f64, heat_j_per_kg: f64) -> Resin {
        let kinetics = Kinetics { k1_per_s, k2_per_s: ratio * k1_per_s, heat_j_per_kg, ..self.resin.kinetics };
        Resin { kinetics, ..self.resin }
    }

    /// Heat that would give the peak without any loss.
    fn least_heat(&self) -> f64 {
        self.resin.specific_heat_j_per_kgk * (self.test.peak.get() - self.test.start.get())
    }

    /// The k1 of a cup that gels in time without heating itself.
    fn cool_k1(&self, ratio: f64) -> f64 {
        let unit = self.resin(1.0, ratio, 0.0).kinetics;
        unit.age_s(self.test.gel_conversion) / (self.test.gel_s * unit.law.rate(self.test.start.get(), unit.reference))
    }

    /// How far off the logarithms of the three figures are, for logarithms of k1, ratio and heat.
    fn off(&self, x: &Vector3<f64>) -> Vector3<f64> {
        let [gel_h, peak_c, peak_h] = self.shows(&self.resin(x[0].exp(), x[1].exp(), x[2].exp()));
        let (start, peak) = (self.test.start.get(), self.test.peak.get());
        Vector3::new(
            (gel_h * 3600.0 / self.test.gel_s).ln(),
            ((peak_c - start).max(1e-6) / (peak - start)).ln(),
            (peak_h * 3600.0).max(1e-6).ln() - self.test.peak_after_s.ln(),
        )
    }

    /// Newton on all three logarithms from this ratio; `None` where it leaves what can be or does not come together.
    fn newton(&self, ratio: f64) -> Option<Resin> {
        let mut x = Vector3::new((0.8 * self.cool_k1(ratio)).ln(), ratio.ln(), (1.2 * self.least_heat()).ln());
        let mut off = self.off(&x);
        for _ in 0..NEWTON_STEPS {
            let slope = |along: usize| {
                let mut nudged = x;
                nudged[along] += NUDGE;
                (self.off(&nudged) - off) / NUDGE
            };
            let slopes = Matrix3::from_columns(&[0, 1, 2].map(slope));
            let step = slopes.lu().solve(&-off)?;
            let share = (LONGEST / step.amax()).min(1.0);
            x += step * share;
            off = self.off(&x);
            if !off.iter().all(|part| part.is_finite()) {
                return None;
            }
            if off.amax() < EXACT {
                let sound = x[1].exp() <= RATIOS[RATIOS.len() - 1] && x[2].exp() <= MOST_HEAT;
                return sound.then(|| self.resin(x[0].exp(), x[1].exp(), x[2].exp()));
            }
        }
        None
    }

    /// Each unknown where it moves one figure one way only, the ratio on a ladder.
    fn nested(&self) -> Result<Resin, NoSuchMaterial> {
        let late = |ratio: f64| self.with_ratio(ratio).map(|found| self.shows(&found)[2] * 3600.0);
        let mut last: Option<(f64, f64)> = None;
        let (mut soonest_s, mut latest_s) = (f64::INFINITY, 0.0_f64);
        for ratio in RATIOS {
            // A peak that is out of reach of one ratio may be in reach of the next.
            let Ok(peak_s) = late(ratio) else { continue };
            (soonest_s, latest_s) = (soonest_s.min(peak_s), latest_s.max(peak_s));
            let over = peak_s - self.test.peak_after_s;
            if let Some((below, was)) = last.replace((ratio, over))
                && (was > 0.0) != (over > 0.0)
            {
                let sign = if was > 0.0 { -1.0 } else { 1.0 };
                let rising = |x: f64| late(x.exp_m1()).map_or(sign, |s| sign * (s - self.test.peak_after_s));
                return self.with_ratio(rising_root(below.ln_1p(), ratio.ln_1p(), EXACT, rising).exp_m1());
            }
        }
        if latest_s <= 0.0 {
            Err(NoSuchMaterial::TooHot { most_j_per_g: MOST_HEAT / 1000.0 })
        } else if soonest_s > self.test.peak_after_s {
            Err(NoSuchMaterial::PeakTooSoon { soonest_s })
        } else {
            Err(NoSuchMaterial::PeakTooLate { latest_s })
        }
    }

    /// Of this ratio, what gels in time and peaks as it should.
    fn with_ratio(&self, ratio: f64) -> Result<Resin, NoSuchMaterial> {
        let over = |x: f64| self.shows(&self.with_heat(ratio, x.exp()))[1] - self.test.peak.get();
        let (low, high) = (self.least_heat().ln(), MOST_HEAT.ln());
        if low >= high || over(high) < 0.0 {
            return Err(NoSuchMaterial::TooHot { most_j_per_g: MOST_HEAT / 1000.0 });
        }
        Ok(self.with_heat(ratio, rising_root(low, high, EXACT, over).exp()))
    }

    /// Of this ratio and heat, what gels in time. A cup that heats itself needs less than a cool one's speed.
    fn with_heat(&self, ratio: f64, heat_j_per_kg: f64) -> Resin {
        let resin = |x: f64| self.resin(x.exp(), ratio, heat_j_per_kg);
        let early = |x: f64| (self.test.gel_s / (self.shows(&resin(x))[0] * 3600.0)).ln().max(-50.0);
        let most = self.cool_k1(ratio).ln();
        resin(rising_root(most - 7.0, most + 1e-3, EXACT, early))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::RateLaw;
    use crate::units::KjPerMol;

    fn blank() -> Resin {
        Resin {
            density_kg_per_m3: 1100.0,
            specific_heat_j_per_kgk: 1800.0,
            conductivity_w_per_mk: 0.2,
            kinetics: Kinetics {
                k1_per_s: 0.0,
                k2_per_s: 0.0,
                heat_j_per_kg: 0.0,
                law: RateLaw::Arrhenius(KjPerMol::new(52.25).unwrap()),
                reference: Celsius::new(23.0).unwrap(),
                limit: None,
            },
        }
    }

    fn test(gel_min: f64, peak_min: f64, peak_c: f64, gel_conversion: f64) -> CupTest {
        CupTest {
            mass_g: 100.0,
            start: Celsius::new(25.0).unwrap(),
            gel_s: gel_min * 60.0,
            peak_after_s: peak_min * 60.0,
            peak: Celsius::new(peak_c).unwrap(),
            gel_conversion,
        }
    }

    fn shows(test: &CupTest, resin: &Resin) {
        let search = Search { test, resin: *resin, bench: TemperatureCurve::constant(test.start) };
        let [gel_h, peak_c, peak_h] = search.shows(resin);
        assert!((gel_h * 3600.0 / test.gel_s - 1.0).abs() < 1e-5, "{test:?} {gel_h}");
        assert!((peak_c - test.peak.get()).abs() < 1e-3, "{test:?} {peak_c}");
        assert!((peak_h * 3600.0 / test.peak_after_s - 1.0).abs() < 1e-5, "{test:?} {peak_h}");
    }

    #[test]
    fn the_cup_shows_the_three_figures() {
        for figures in [
            test(18.0, 30.0, 120.0, 0.05),
            test(30.0, 32.0, 150.0, 0.577),
            test(4.0, 5.5, 90.0, 0.6),
            test(300.0, 330.0, 60.0, 0.577),
        ] {
            shows(&figures, &calibrate(&figures, blank()).unwrap());
        }
    }

    #[test]
    fn both_searches_find_a_material_that_shows_them() {
        let figures = test(18.0, 35.0, 100.0, 0.05);
        let search = Search { test: &figures, resin: blank(), bench: TemperatureCurve::constant(figures.start) };
        shows(&figures, &search.nested().unwrap());
        shows(&figures, &search.newton(1e3).unwrap());
    }

    #[test]
    fn what_cannot_be_is_refused_with_its_reason() {
        let late = calibrate(&test(10.0, 900.0, 120.0, 0.577), blank()).unwrap_err();
        assert!(matches!(late, NoSuchMaterial::PeakTooLate { latest_s } if latest_s < 900.0 * 60.0), "{late:?}");
        let soon = calibrate(&test(30.0, 30.1, 150.0, 0.05), blank()).unwrap_err();
        assert!(matches!(soon, NoSuchMaterial::PeakTooSoon { soonest_s } if soonest_s > 30.1 * 60.0), "{soon:?}");
        let roomy = Resin { specific_heat_j_per_kgk: 2000.0, ..blank() };
        let hot = calibrate(&test(30.0, 40.0, 399.0, 0.05), roomy).unwrap_err();
        assert!(matches!(hot, NoSuchMaterial::TooHot { .. }), "{hot:?}");
        assert!(hot.to_string().contains("700 J/g"));
    }
}

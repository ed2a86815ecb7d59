//! The reaction: how fast resin turns solid, and what heat that gives.

use super::speed::{Rate, Speed};
use crate::cure::RateLaw;
use crate::units::Celsius;

/// Over this much of conversion the reaction dies away before it stops for want of warmth: it gets slow, not cut off (own
/// working value).
const DYING: f64 = 0.03;

/// Where the reaction stops for want of warmth: the network has set to glass at the temperature it is at.
///
/// Linear in the temperature, which is right for the range of a bench and no more:
/// `α_max(T) = at_reference + rise · (T − Tref)`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConversionLimit {
    /// Share reacted at which it stops at the reference temperature, 0 to 1.
    pub at_reference: f64,
    pub rise_per_c: f64,
}

/// `dα/dt = (k1 + k2 α)(1 − α) · r(T)`: a reaction that starts by itself and feeds on what has reacted (Kamal's form with
/// both exponents 1).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Kinetics {
    /// 1/s at the reference temperature.
    pub k1_per_s: f64,
    /// 1/s at the reference temperature.
    pub k2_per_s: f64,
    /// Heat of the whole reaction, J per kg of mixed resin.
    pub heat_j_per_kg: f64,
    pub law: RateLaw,
    pub reference: Celsius,
    pub limit: Option<ConversionLimit>,
}

/// A resin as the heat flows through it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Resin {
    pub density_kg_per_m3: f64,
    pub specific_heat_j_per_kgk: f64,
    pub conductivity_w_per_mk: f64,
    pub kinetics: Kinetics,
}

impl Kinetics {
    /// Share reacted after `age_s` seconds at the reference temperature, where nothing stops it: the closed form
    /// `α = (1 − e^(−sθ)) / (1 + (k2/k1) e^(−sθ))`, `s = k1 + k2`.
    pub fn conversion(&self, age_s: f64) -> f64 {
        let (k1, k2) = (self.k1_per_s, self.k2_per_s);
        if k1 <= 0.0 {
            return 0.0;
        }
        let left = (-(k1 + k2) * age_s).exp();
        -(-(k1 + k2) * age_s).exp_m1() / (1.0 + k2 / k1 * left)
    }

    /// The age in seconds at which `conversion`, from 0 to below 1, is reached: the closed form the other way,
    /// `θ = ln((1 + α k2/k1) / (1 − α)) / s`. Infinite where nothing reacts.
    pub fn age_s(&self, conversion: f64) -> f64 {
        let (k1, k2) = (self.k1_per_s, self.k2_per_s);
        if k1 <= 0.0 {
            return f64::INFINITY;
        }
        ((conversion * k2 / k1).ln_1p() - (-conversion).ln_1p()) / (k1 + k2)
    }

    /// The same reaction `factor` times as fast: another dose.
    #[must_use]
    pub fn times(self, factor: f64) -> Self {
        Self { k1_per_s: self.k1_per_s * factor, k2_per_s: self.k2_per_s * factor, ..self }
    }

    /// Share reacted at which it stops at `t_c` °C, at most 1.
    pub fn stops_at(&self, t_c: f64) -> f64 {
        self.limit.map_or(1.0, |limit| limit.at(t_c, self.reference).min(1.0))
    }

    /// The largest rate in 1/s the reaction can still come to at `t_c` °C once `conversion` has reacted.
    pub(super) fn most_still(&self, conversion: f64, t_c: f64) -> f64 {
        let (k1, k2) = (self.k1_per_s, self.k2_per_s);
        let fastest_at = if k2 > k1 { (k2 - k1) / (2.0 * k2) } else { 0.0 };
        let at = conversion.max(fastest_at);
        if conversion > self.stops_at(t_c) - DYING {
            return 0.0;
        }
        (k1 + k2 * at) * (1.0 - at).max(0.0) * self.law.rate(t_c, self.reference)
    }
}

impl ConversionLimit {
    fn at(self, t_c: f64, reference: Celsius) -> f64 {
        self.at_reference + self.rise_per_c * (t_c - reference.get())
    }
}

/// The reaction as the solver asks for it: rate of conversion and its slopes, worked out with one exponential.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reaction {
    k1: f64,
    k2: f64,
    speed: Speed,
    limit: Option<(ConversionLimit, Celsius)>,
}

/// dα/dt at one place, and its slopes.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Turnover {
    pub per_s: f64,
    pub by_conversion: f64,
    pub by_temperature: f64,
}

impl Reaction {
    pub fn new(kinetics: &Kinetics) -> Self {
        Self {
            k1: kinetics.k1_per_s,
            k2: kinetics.k2_per_s,
            speed: Speed::new(kinetics.law, kinetics.reference),
            limit: kinetics.limit.map(|limit| (limit, kinetics.reference)),
        }
    }

    pub fn speed(&self, t_c: f64) -> f64 {
        self.speed.at(t_c).value
    }

    /// dα/dθ, 1/s of cure age: the rate with the temperature taken out of it, but for where the reaction stops.
    pub fn by_age(&self, conversion: f64, t_c: f64) -> f64 {
        let free = (self.k1 + self.k2 * conversion) * (1.0 - conversion);
        self.limit.map_or(free, |(limit, reference)| {
            let room = limit.at(t_c, reference) - conversion;
            if room > 0.0 { -free * (-room / DYING).exp_m1() } else { 0.0 }
        })
    }

    /// At `conversion` and `t_c` °C.
    pub fn at(&self, conversion: f64, t_c: f64) -> Turnover {
        let Rate { value: speed, slope } = self.speed.at(t_c);
        let left = 1.0 - conversion;
        let drive = self.k1 + self.k2 * conversion;
        let (per_s, by_conversion, by_temperature) =
            (drive * left * speed, (self.k2 * left - drive) * speed, drive * left * slope);
        let Some((limit, reference)) = self.limit else { return Turnover { per_s, by_conversion, by_temperature } };
        let room = limit.at(t_c, reference) - conversion;
        if room <= 0.0 {
            return Turnover::default();
        }
        // 1 − exp(−room/w): 1 far from the stop, 0 at it.
        let dying = (-room / DYING).exp();
        let (held, by_room) = (1.0 - dying, dying / DYING);
        Turnover {
            per_s: per_s * held,
            by_conversion: by_conversion * held - per_s * by_room,
            by_temperature: by_temperature * held + per_s * by_room * limit.rise_per_c,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::KjPerMol;
    use proptest::prelude::*;

    fn kinetics(k1: f64, k2: f64) -> Kinetics {
        Kinetics {
            k1_per_s: k1,
            k2_per_s: k2,
            heat_j_per_kg: 300e3,
            law: RateLaw::Arrhenius(KjPerMol::new(52.95).unwrap()),
            reference: Celsius::new(25.0).unwrap(),
            limit: None,
        }
    }

    fn limited() -> Kinetics {
        Kinetics { limit: Some(ConversionLimit { at_reference: 0.8, rise_per_c: 0.005 }), ..kinetics(1e-5, 2e-4) }
    }

    #[test]
    fn it_stops_where_it_is_too_cool_and_not_before() {
        let reaction = Reaction::new(&limited());
        let free = Reaction::new(&kinetics(1e-5, 2e-4));
        assert!((reaction.at(0.3, 25.0).per_s / free.at(0.3, 25.0).per_s - 1.0).abs() < 1e-6);
        assert!(reaction.at(0.81, 25.0).per_s.abs() < 1e-30 && reaction.at(0.81, 40.0).per_s > 0.0);
        assert!((limited().stops_at(15.0) - 0.75).abs() < 1e-12 && (limited().stops_at(90.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_spent_reaction_has_nothing_left_to_come() {
        let kinetics = limited();
        assert!(kinetics.most_still(0.79, 25.0).abs() < 1e-30);
        let [fresh, half] = [0.0, 0.475].map(|alpha| kinetics.most_still(alpha, 25.0));
        assert!((fresh / half - 1.0).abs() < 1e-9, "the fastest is still ahead, at (k2 − k1) / 2 k2");
    }

    proptest! {
        #[test]
        fn age_and_conversion_are_each_others_way_back(
            k1 in 1e-8f64..1e-3, ratio in 0.0f64..1e5, conversion in 1e-6f64..0.9999,
        ) {
            let kinetics = kinetics(k1, k1 * ratio);
            let back = kinetics.conversion(kinetics.age_s(conversion));
            prop_assert!((back / conversion - 1.0).abs() < 1e-9, "{back} {conversion}");
        }

        #[test]
        fn slopes_are_those_of_the_rate(conversion in 0.0f64..0.79, t_c in 10.0f64..120.0) {
            for kinetics in [kinetics(1e-5, 2e-4), limited()] {
                let reaction = Reaction::new(&kinetics);
                let at = reaction.at(conversion, t_c);
                let (da, dt) = (1e-7, 1e-4);
                let by_alpha =
                    (reaction.at(conversion + da, t_c).per_s - reaction.at(conversion - da, t_c).per_s) / (2.0 * da);
                let by_t = (reaction.at(conversion, t_c + dt).per_s - reaction.at(conversion, t_c - dt).per_s) / (2.0 * dt);
                prop_assert!((at.by_conversion - by_alpha).abs() <= 1e-4 * at.by_conversion.abs() + 1e-9);
                prop_assert!((at.by_temperature - by_t).abs() <= 1e-4 * at.by_temperature.abs() + 1e-12);
                let by_age = reaction.by_age(conversion, t_c) * reaction.speed(t_c);
                prop_assert!((by_age - at.per_s).abs() <= 1e-12 * at.per_s.abs().max(1e-30));
            }
        }
    }
}

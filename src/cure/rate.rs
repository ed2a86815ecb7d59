//! The temperature rule: how fast a material cures at a temperature, against its reference temperature.

use crate::units::{CELSIUS_ZERO_K, Celsius, KjPerMol, Q10};
use serde::{Deserialize, Serialize};

/// Molar gas constant in kJ/(mol K): exact since the 2019 SI (CODATA 2018).
pub const GAS_CONSTANT_KJ: f64 = 8.314_462_618_153_24e-3;

/// How the rate depends on temperature. A stage may have its own.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub enum RateLaw {
    /// Q^((T − Tref)/10): the trade's rule; the rate doubles every 10 °C with Q = 2.
    Q10(Q10),
    /// exp(−(E/R)(1/T − 1/Tref)), T in kelvin: Arrhenius, as in the equivalent age of ASTM C1074.
    Arrhenius(KjPerMol),
}

impl RateLaw {
    /// Rate at `t_c` °C relative to the rate at `reference` (1 at the reference itself). Dimensionless.
    pub fn rate(self, t_c: f64, reference: Celsius) -> f64 {
        (self.coefficient() * self.warmth(t_c, reference)).exp()
    }

    /// The figure of the law in ln(rate) = coefficient · warmth: ln q10, or the activation energy in kJ/mol.
    pub fn coefficient(self) -> f64 {
        match self {
            RateLaw::Q10(q) => q.get().ln(),
            RateLaw::Arrhenius(e) => e.get(),
        }
    }

    /// How warm `t_c` °C is to the law: (T − Tref)/10, or −(1/T − 1/Tref)/R in mol/kJ with T in kelvin.
    pub fn warmth(self, t_c: f64, reference: Celsius) -> f64 {
        match self {
            RateLaw::Q10(_) => (t_c - reference.get()) / 10.0,
            RateLaw::Arrhenius(_) => -(1.0 / (t_c + CELSIUS_ZERO_K) - 1.0 / reference.kelvin()) / GAS_CONSTANT_KJ,
        }
    }

    /// The temperature in °C of a warmth; the other way round.
    pub fn celsius_of(self, warmth: f64, reference: Celsius) -> f64 {
        match self {
            RateLaw::Q10(_) => reference.get() + 10.0 * warmth,
            RateLaw::Arrhenius(_) => 1.0 / (1.0 / reference.kelvin() - GAS_CONSTANT_KJ * warmth) - CELSIUS_ZERO_K,
        }
    }

    /// d ln(rate)/dT at `t_c` °C, per °C: what one degree of error in the forecast does to the rate.
    pub fn sensitivity_per_c(self, t_c: f64) -> f64 {
        match self {
            RateLaw::Q10(q) => q.get().ln() / 10.0,
            RateLaw::Arrhenius(e) => {
                let kelvin = t_c + CELSIUS_ZERO_K;
                e.get() / GAS_CONSTANT_KJ / (kelvin * kelvin)
            }
        }
    }
}

/// A rate law made usable: with its reference temperature, and the floor under which the clock stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CureRule {
    pub law: RateLaw,
    pub reference: Celsius,
    pub floor: Option<Celsius>,
}

impl CureRule {
    /// Hours of cure age gained per clock hour at `t_c` °C; 0 below the floor.
    pub fn rate(&self, t_c: f64) -> f64 {
        if self.stands_at(t_c) { 0.0 } else { self.law.rate(t_c, self.reference) }
    }

    /// Whether the clock stands at `t_c` °C.
    pub fn stands_at(&self, t_c: f64) -> bool {
        self.floor.is_some_and(|floor| t_c < floor.get())
    }
}

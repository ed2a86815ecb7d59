//! The temperature rule with its slope, ready for a solver's inner loop.

use crate::cure::{GAS_CONSTANT_KJ, RateLaw};
use crate::units::{CELSIUS_ZERO_K, Celsius};

/// Hotter than this nothing is computed any more, °C: every resin has burnt. Keeps exponentials finite.
const BURNT_C: f64 = 1500.0;

/// A rate relative to the reference temperature, and how it grows per °C.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rate {
    pub value: f64,
    pub slope: f64,
}

/// [`RateLaw`] with its constants worked out.
#[derive(Debug, Clone, Copy)]
pub(super) enum Speed {
    Q10 { per_c: f64, reference_c: f64 },
    Arrhenius { kelvin: f64, at_reference: f64 },
}

impl Speed {
    pub fn new(law: RateLaw, reference: Celsius) -> Self {
        match law {
            RateLaw::Q10(q) => Speed::Q10 { per_c: q.get().ln() / 10.0, reference_c: reference.get() },
            RateLaw::Arrhenius(energy) => {
                let kelvin = energy.get() / GAS_CONSTANT_KJ;
                Speed::Arrhenius { kelvin, at_reference: kelvin / reference.kelvin() }
            }
        }
    }

    #[inline]
    pub fn at(&self, t_c: f64) -> Rate {
        let t_c = t_c.min(BURNT_C);
        match *self {
            Speed::Q10 { per_c, reference_c } => {
                let value = (per_c * (t_c - reference_c)).exp();
                Rate { value, slope: value * per_c }
            }
            Speed::Arrhenius { kelvin, at_reference } => {
                let over = 1.0 / (t_c + CELSIUS_ZERO_K);
                let value = (at_reference - kelvin * over).exp();
                Rate { value, slope: value * kelvin * over * over }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{KjPerMol, Q10};

    #[test]
    fn it_is_the_rate_law_with_its_slope() {
        let reference = Celsius::new(23.0).unwrap();
        for law in [RateLaw::Q10(Q10::new(2.0).unwrap()), RateLaw::Arrhenius(KjPerMol::new(52.95).unwrap())] {
            let speed = Speed::new(law, reference);
            for t_c in [-5.0, 12.0, 23.0, 60.0, 180.0] {
                let Rate { value, slope } = speed.at(t_c);
                let exact = law.rate(t_c, reference);
                assert!((value / exact - 1.0).abs() < 1e-12, "{law:?} {t_c}");
                assert!((slope / exact - law.sensitivity_per_c(t_c)).abs() < 1e-12, "{law:?} {t_c}");
            }
        }
    }
}

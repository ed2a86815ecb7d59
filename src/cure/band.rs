//! Bands: a time is a distribution, not a point. Early 10 %, likely 50 %, late 90 %, log-normal.

use crate::units::{SpreadFactor, UnitError};
use statrs::function::erf::{erfc, erfc_inv};

/// One of the three quantiles the screen shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Quantile {
    Early,
    Likely,
    Late,
}

impl Quantile {
    pub const ALL: [Quantile; 3] = [Quantile::Early, Quantile::Likely, Quantile::Late];

    /// The probability that the stage is reached by then.
    pub const fn probability(self) -> f64 {
        match self {
            Quantile::Early => 0.1,
            Quantile::Likely => 0.5,
            Quantile::Late => 0.9,
        }
    }
}

/// The three quantiles of one moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band<T> {
    pub early: T,
    pub likely: T,
    pub late: T,
}

impl<T> Band<T> {
    /// Computes each quantile with `f`.
    pub fn from_fn(mut f: impl FnMut(Quantile) -> T) -> Self {
        Self { early: f(Quantile::Early), likely: f(Quantile::Likely), late: f(Quantile::Late) }
    }

    /// Converts each quantile with `f`.
    pub fn map<U>(self, mut f: impl FnMut(T) -> U) -> Band<U> {
        Band { early: f(self.early), likely: f(self.likely), late: f(self.late) }
    }
}

/// Standard normal quantile of 90 %: what turns a late/likely factor into a standard deviation of ln t.
/// Φ⁻¹(0.9) = 1.2815515655 (standard normal table).
const Z_90: f64 = 1.281_551_565_544_600_4;

/// Standard deviation of ln(time) for a spread factor late/likely.
pub fn log_sd(spread: SpreadFactor) -> f64 {
    spread.get().ln() / Z_90
}

/// The spread factor late/likely for a standard deviation of ln(time).
pub fn spread_factor(log_sd: f64) -> Result<SpreadFactor, UnitError> {
    SpreadFactor::new((Z_90 * log_sd).exp())
}

/// The standard normal value below which a share `p` lies, 0 < p < 1.
pub fn normal_quantile(p: f64) -> f64 {
    conditional_z(p, f64::NEG_INFINITY)
}

/// The share of a standard normal below `z`.
pub fn normal_share(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Beyond this many standard deviations the normal tail is replaced by its asymptote.
const FAR_TAIL: f64 = 20.0;

/// The standard normal value exceeded with probability 1 − p, given that it exceeds `above` (−∞: no condition).
///
/// P(Z ≤ z | Z > above) = p, that is z = −Φ⁻¹((1 − p) Φ(−above)); in the far tail z² ≈ above² − 2 ln(1 − p).
pub(super) fn conditional_z(p: f64, above: f64) -> f64 {
    if above > FAR_TAIL {
        return (above * above - 2.0 * (1.0 - p).ln()).sqrt();
    }
    let survival = 0.5 * erfc(above / std::f64::consts::SQRT_2);
    std::f64::consts::SQRT_2 * erfc_inv(2.0 * (1.0 - p) * survival)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_a_condition_these_are_the_normal_quantiles() {
        // Standard normal table: Φ⁻¹(0.9) = 1.2816, Φ⁻¹(0.5) = 0.
        assert!((conditional_z(0.9, f64::NEG_INFINITY) - Z_90).abs() < 1e-9);
        assert!(conditional_z(0.5, f64::NEG_INFINITY).abs() < 1e-12);
        assert!((conditional_z(0.1, f64::NEG_INFINITY) + Z_90).abs() < 1e-9);
        // The same table: Φ(−1) = 0.158655.
        assert!((normal_share(-1.0) - 0.158_655_25).abs() < 1e-7 && (normal_share(Z_90) - 0.9).abs() < 1e-9);
    }

    #[test]
    fn knowing_it_has_not_happened_moves_every_quantile_later() {
        for p in [0.1, 0.5, 0.9] {
            assert!(conditional_z(p, 0.0) > conditional_z(p, f64::NEG_INFINITY));
            assert!(conditional_z(p, 1.5) > 1.5);
        }
        // Half of the upper half: Φ⁻¹(0.75) = 0.6745 (standard normal table).
        assert!((conditional_z(0.5, 0.0) - 0.674_489_750_2).abs() < 1e-9);
    }

    #[test]
    fn the_far_tail_joins_smoothly() {
        for p in [0.1, 0.5, 0.9] {
            let (near, far) = (conditional_z(p, FAR_TAIL), conditional_z(p, FAR_TAIL + 1e-9));
            assert!((near - far).abs() < 0.02, "{near} {far}");
        }
    }

    #[test]
    fn the_spread_factor_is_late_over_likely() {
        let sd = log_sd(SpreadFactor::new(1.5).unwrap());
        assert!(((Z_90 * sd).exp() - 1.5).abs() < 1e-12);
    }
}

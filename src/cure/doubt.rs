//! What is still unknown of learned figures, in the band of a time.
//!
//! ln t = ln D + f + n·d − β·x: f is the ln of the stage's shop factor, β the coefficient of its temperature rule, x the warmth
//! ([`RateLaw::warmth`](super::RateLaw::warmth)), n the dose exponent and d = `ln(dose_ref/dose)`. The three are known with a
//! covariance, so ln t has the variance gᵀ C g with g = (1, −x, d): least where most was seen.

/// Outside the temperatures that were seen, a rule is known no better than before anybody looked, as a share of its
/// coefficient: reactions bend off their line (diffusion, another step that becomes the slow one), which no look inside shows.
/// q10 = 2 may be 1.6 to 2.5, as the trade reports it (one standard deviation, own working value).
pub const RULE_SHARE: f64 = 0.33;

/// Rounding in a file may leave a covariance a little short of positive.
const ROUNDING: f64 = 1e-3;

/// The covariance of a learned stage's figures, and the warmths they were learned at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doubt {
    covariance: [f64; 6],
    seen: (f64, f64),
}

/// These numbers are no covariance, or no range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NoDoubt;

impl Doubt {
    /// Of a stage that may be off by a factor of two (one standard deviation): what common practice knows of a shop.
    pub const NOTHING_LEARNED: Doubt =
        Doubt { covariance: [0.5, 0.0, 0.0, 0.0, 0.0, 0.0], seen: (f64::NEG_INFINITY, f64::INFINITY) };

    /// `covariance` of (f, β, n) as ff, ft, fd, tt, td, dd; `seen`: least and most warmth that was seen, infinite where nothing
    /// was.
    pub fn new(covariance: [f64; 6], seen: (f64, f64)) -> Result<Self, NoDoubt> {
        let [ff, ft, fd, tt, td, dd] = covariance;
        let finite = covariance.iter().all(|c| c.is_finite());
        let signs = ff >= 0.0 && tt >= 0.0 && dd >= 0.0;
        let minor = |a: f64, b: f64, ab: f64| ab * ab <= a * b * (1.0 + ROUNDING);
        let determinant = ff * (tt * dd - td * td) - ft * (ft * dd - td * fd) + fd * (ft * td - tt * fd);
        let positive = determinant >= -ROUNDING * ff * tt * dd;
        let known = finite && signs && minor(ff, tt, ft) && minor(ff, dd, fd) && minor(tt, dd, td) && positive;
        if known && seen.0 <= seen.1 { Ok(Self { covariance, seen }) } else { Err(NoDoubt) }
    }

    /// Standard deviation of ln t at `warmth` and `strength` d, where the rule's coefficient is `coefficient`.
    pub fn sd(&self, coefficient: f64, warmth: f64, strength: f64) -> f64 {
        let [ff, ft, fd, tt, td, dd] = self.covariance;
        let known = ff + tt * warmth * warmth + dd * strength * strength
            - 2.0 * (ft * warmth - fd * strength + td * warmth * strength);
        known.max(0.0).sqrt().hypot(RULE_SHARE * coefficient * self.beyond(warmth))
    }

    /// ff, ft, fd, tt, td, dd.
    pub fn covariance(&self) -> [f64; 6] {
        self.covariance
    }

    /// Least and most warmth that was seen.
    pub fn seen(&self) -> (f64, f64) {
        self.seen
    }

    fn beyond(&self, warmth: f64) -> f64 {
        (self.seen.0 - warmth).max(warmth - self.seen.1).max(0.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SEEN: (f64, f64) = (-0.5, 0.2);

    #[test]
    fn it_is_least_where_most_was_seen() {
        // f and β go together: the figures were learned 5 °C under the reference.
        let doubt = Doubt::new([0.02, -0.02, 0.0, 0.04, 0.0, 0.0], SEEN).unwrap();
        let sd = |warmth| doubt.sd(0.7, warmth, 0.0);
        assert!((sd(-0.5) - 0.1).abs() < 1e-9, "{}", sd(-0.5));
        assert!(sd(0.2) > sd(-0.5) && sd(-1.0) > sd(-0.6));
        // Beyond what was seen by half a unit: 0.33 · 0.7 · 0.5 more, in variance.
        let inside = Doubt::new([0.02, -0.02, 0.0, 0.04, 0.0, 0.0], (-9.0, 9.0)).unwrap().sd(0.7, -1.0, 0.0);
        assert!((sd(-1.0) - inside.hypot(0.33 * 0.7 * 0.5)).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_covariance_is_refused() {
        for bad in [
            [-0.1, 0.0, 0.0, 0.0, 0.0, 0.0],
            [0.1, 0.2, 0.0, 0.1, 0.0, 0.0],
            [0.1, 0.0, 0.0, f64::NAN, 0.0, 0.0],
            [1.0, 0.9, 0.9, 1.0, -0.9, 1.0],
        ] {
            assert_eq!(Doubt::new(bad, SEEN), Err(NoDoubt), "{bad:?}");
        }
        assert_eq!(Doubt::new([0.0; 6], (1.0, 0.0)), Err(NoDoubt));
        assert!(Doubt::new([0.0; 6], (f64::NEG_INFINITY, f64::INFINITY)).is_ok());
    }
}

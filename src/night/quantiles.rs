//! A moment that is not known exactly, as hours by chance.

use crate::cure::{normal_quantile, normal_share};

/// The chances at which a distribution is kept.
pub const CHANCES: [f64; 17] =
    [0.001, 0.003, 0.01, 0.02, 0.05, 0.1, 0.2, 0.35, 0.5, 0.65, 0.8, 0.9, 0.95, 0.98, 0.99, 0.997, 0.999];

/// By which hour something has happened with each of [`CHANCES`]; infinite where it never does.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Quantiles([f64; CHANCES.len()]);

impl Quantiles {
    /// From the hour of each chance; `None`: never.
    pub fn from_fn(hour: impl Fn(f64) -> Option<f64>) -> Self {
        Self(CHANCES.map(|chance| hour(chance).unwrap_or(f64::INFINITY)))
    }

    /// Each hour moved.
    #[must_use]
    pub fn map(&self, moved: impl Fn(f64) -> f64) -> Self {
        Self(self.0.map(moved))
    }

    /// The hour by which it has happened with the chance `p`: between two that are kept, on the line over the normal's own
    /// scale; beyond them, the outermost.
    pub fn hour(&self, p: f64) -> f64 {
        let after = CHANCES.partition_point(|chance| *chance < p);
        if after == 0 {
            return self.0[0];
        }
        let Some(upper) = CHANCES.get(after) else { return self.0[CHANCES.len() - 1] };
        let (a, b) = (self.0[after - 1], self.0[after]);
        let z = |p: &f64| normal_quantile(*p);
        let (low, high) = (z(&CHANCES[after - 1]), z(upper));
        if b.is_finite() { a + (z(&p) - low) / (high - low) * (b - a) } else { b }
    }

    /// The chance that it has happened by `hour`.
    pub fn by(&self, hour: f64) -> f64 {
        let after = self.0.partition_point(|at| *at <= hour);
        let Some((upper, chance)) = self.0.get(after).zip(CHANCES.get(after)) else { return 1.0 };
        let Some(below) = after.checked_sub(1) else { return 0.0 };
        if !upper.is_finite() {
            return CHANCES[below];
        }
        let (low, high) = (normal_quantile(CHANCES[below]), normal_quantile(*chance));
        normal_share(low + (hour - self.0[below]) / (upper - self.0[below]) * (high - low))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_normal_comes_back() {
        let kept = Quantiles::from_fn(|p| Some(10.0 + 2.0 * normal_quantile(p)));
        for p in [0.004, 0.1, 0.41, 0.77, 0.985] {
            assert!((kept.hour(p) - 10.0 - 2.0 * normal_quantile(p)).abs() < 1e-9);
            assert!((kept.by(kept.hour(p)) - p).abs() < 1e-9);
        }
        assert!(kept.by(0.0) < 1e-12 && kept.by(99.0) > 1.0 - 1e-12);
    }

    #[test]
    fn what_may_never_come_has_its_share_of_never() {
        let kept = Quantiles::from_fn(|p| (p < 0.6).then_some(10.0 * p));
        assert!(kept.hour(0.9).is_infinite() && (kept.by(50.0) - 0.5).abs() < 1e-12);
        assert!(Quantiles::from_fn(|_| None).by(1e9) < 1e-12);
    }
}

//! The probability that a standard normal lies between two values, and how it changes with them.

use statrs::function::erf::erfc;
use std::f64::consts::{FRAC_1_SQRT_2, PI};

/// Below this the normal's tail is taken from its asymptotic series, whose error there is under 1e-11 of it.
const FAR_TAIL: f64 = -20.0;
/// Narrower than this the difference of two tails is taken from the density in the middle.
const NARROW: f64 = 1e-4;

/// ln P(a < Z ≤ b) with its first and second derivatives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Between {
    pub ln_p: f64,
    pub d_a: f64,
    pub d_b: f64,
    pub d_aa: f64,
    pub d_ab: f64,
    pub d_bb: f64,
}

/// ln of the standard normal density at `z`.
pub(super) fn ln_density(z: f64) -> f64 {
    -0.5 * z * z - 0.5 * (2.0 * PI).ln()
}

/// ln Φ(x), accurate also far out in the lower tail.
fn ln_below(x: f64) -> f64 {
    if x > FAR_TAIL {
        return (0.5 * erfc(-x * FRAC_1_SQRT_2)).ln();
    }
    // Φ(x) = φ(x)/|x| · (1 − 1/x² + 3/x⁴ − 15/x⁶ + 105/x⁸ − …) (Abramowitz & Stegun 26.2.12).
    let inverse = 1.0 / (x * x);
    let series = -inverse * (1.0 - inverse * (3.0 - inverse * (15.0 - 105.0 * inverse)));
    ln_density(x) - (-x).ln() + series.ln_1p()
}

/// ln P(a < Z ≤ b), `a` below `b`; either may be infinite.
pub(super) fn ln_between(a: f64, b: f64) -> f64 {
    // By symmetry taken in the lower tail, where nothing cancels.
    let (low, high) = if a + b > 0.0 { (-b, -a) } else { (a, b) };
    let width = high - low;
    if width < NARROW {
        let middle = f64::midpoint(low, high);
        return ln_density(middle) + width.ln() + ((middle * middle - 1.0) * width * width / 24.0).ln_1p();
    }
    let ln_high = ln_below(high);
    if low == f64::NEG_INFINITY { ln_high } else { ln_high + (-(ln_below(low) - ln_high).exp()).ln_1p() }
}

impl Between {
    /// `a` below `b`; either may be infinite.
    pub fn of(a: f64, b: f64) -> Self {
        let ln_p = ln_between(a, b);
        let share = |z: f64| if z.is_finite() { (ln_density(z) - ln_p).exp() } else { 0.0 };
        let (at_a, at_b) = (share(a), share(b));
        let times = |z: f64, share: f64| if z.is_finite() { z * share } else { 0.0 };
        Self {
            ln_p,
            d_a: -at_a,
            d_b: at_b,
            d_aa: times(a, at_a) - at_a * at_a,
            d_ab: at_a * at_b,
            d_bb: -times(b, at_b) - at_b * at_b,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn it_is_the_normal_table() {
        // Standard normal table: P(−1 < Z ≤ 1) = 0.682689492137, Φ(−3) = 0.001349898032, and far out (scipy's
        // norm.logcdf) ln Φ(−10) = −53.2312851505, ln Φ(−40) = −804.608442014.
        let close = |got: f64, want: f64| assert!((got - want).abs() < 1e-9 * want.abs().max(1.0), "{got} {want}");
        close(ln_between(-1.0, 1.0).exp(), 0.682_689_492_137);
        close(ln_between(f64::NEG_INFINITY, -3.0).exp(), 0.001_349_898_032);
        close(ln_between(3.0, f64::INFINITY).exp(), 0.001_349_898_032);
        close(ln_between(f64::NEG_INFINITY, -10.0), -53.231_285_150_5);
        close(ln_between(40.0, f64::INFINITY), -804.608_442_014);
    }

    #[test]
    fn the_far_tail_and_the_narrow_step_join_smoothly() {
        let ends = |x: f64, step: f64| (ln_below(x - step), ln_below(x + step));
        let (below, above) = ends(FAR_TAIL, 1e-9);
        assert!((below - above).abs() < 1e-7, "{below} {above}");
        for middle in [-8.0, -1.0, 0.0, 2.5, 9.0] {
            let at = |width: f64| ln_between(middle - width / 2.0, middle + width / 2.0) - width.ln();
            assert!((at(NARROW * 0.999) - at(NARROW * 1.001)).abs() < 1e-7, "{middle}");
        }
    }

    proptest! {
        #[test]
        fn its_derivatives_are_those_of_its_differences(a in -6.0f64..6.0, width in 0.01f64..8.0) {
            let b = a + width;
            let got = Between::of(a, b);
            let h = 1e-5;
            let slope = |da: f64, db: f64| (ln_between(a + da * h, b + db * h) - ln_between(a - da * h, b - db * h)) / (2.0 * h);
            let bend = |da: f64, db: f64| {
                let (up, down) = (Between::of(a + da * h, b + db * h), Between::of(a - da * h, b - db * h));
                ((up.d_a - down.d_a) / (2.0 * h), (up.d_b - down.d_b) / (2.0 * h))
            };
            let near = |got: f64, want: f64| (got - want).abs() < 1e-4 * want.abs().max(1.0);
            prop_assert!(near(got.d_a, slope(1.0, 0.0)) && near(got.d_b, slope(0.0, 1.0)));
            let (d_aa, d_ab) = bend(1.0, 0.0);
            prop_assert!(near(got.d_aa, d_aa) && near(got.d_ab, d_ab) && near(got.d_bb, bend(0.0, 1.0).1));
        }
    }
}

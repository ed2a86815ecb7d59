//! The cubic through two values with their slopes (Hermite), for what lies between two steps.

/// Values at both ends of a step and the slopes there, over the whole step.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cubic {
    start: f64,
    slope: f64,
    b: f64,
    a: f64,
}

impl Cubic {
    pub fn new(ends: [f64; 2], slopes: [f64; 2]) -> Self {
        Self {
            start: ends[0],
            slope: slopes[0],
            b: 3.0 * (ends[1] - ends[0]) - 2.0 * slopes[0] - slopes[1],
            a: 2.0 * (ends[0] - ends[1]) + slopes[0] + slopes[1],
        }
    }

    /// At `share` of the step, 0 to 1.
    pub fn at(&self, share: f64) -> f64 {
        self.start + share * (self.slope + share * (self.b + share * self.a))
    }

    /// Where it is highest, if it rises at the start and falls at the end.
    pub fn top(&self) -> Option<f64> {
        let falls = 3.0 * self.a + 2.0 * self.b + self.slope;
        if self.slope <= 0.0 || falls >= 0.0 {
            return None;
        }
        // The slope a' s² + b' s + c falls through 0: the root that does not cancel.
        let root = (self.b * self.b - 3.0 * self.a * self.slope).max(0.0).sqrt();
        Some((self.slope / (root - self.b)).clamp(0.0, 1.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_cubic_it_was_taken_from() {
        let p = |s: f64| 2.0 + s * (3.0 + s * (-4.0 + s * 0.5));
        let d = |s: f64| 3.0 + s * (-8.0 + s * 1.5);
        let cubic = Cubic::new([p(0.0), p(1.0)], [d(0.0), d(1.0)]);
        for share in [0.0, 0.2, 0.7, 1.0] {
            assert!((cubic.at(share) - p(share)).abs() < 1e-14);
        }
        let top = cubic.top().unwrap();
        assert!(d(top).abs() < 1e-13, "{top}");
        assert_eq!(Cubic::new([0.0, 1.0], [1.0, 1.0]).top(), None, "it goes on rising");
    }
}

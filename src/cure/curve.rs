//! The bench temperature over time: measured points joined by straight lines, the ends held.

use crate::units::Celsius;

/// One point of a temperature curve. Times are clock hours from an origin the caller chooses.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Knot {
    pub at_h: f64,
    pub celsius: Celsius,
}

/// Piecewise-linear temperature; before the first knot and after the last one their values hold.
#[derive(Debug, Clone, PartialEq)]
pub struct TemperatureCurve {
    knots: Vec<Knot>,
}

/// A curve needs at least one knot, and times that are finite and strictly rise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum CurveError {
    #[error("a temperature curve needs at least one reading")]
    Empty,
    #[error("reading {index} (counting from 0) is not later than the one before it")]
    NotRising { index: usize },
}

impl TemperatureCurve {
    /// Builds a curve from knots in rising order of time.
    pub fn new(knots: Vec<Knot>) -> Result<Self, CurveError> {
        if knots.is_empty() {
            return Err(CurveError::Empty);
        }
        if !knots[0].at_h.is_finite() {
            return Err(CurveError::NotRising { index: 0 });
        }
        // `!(a < b)` rather than `a >= b`, so that NaN is refused as well.
        if let Some(i) =
            knots.windows(2).position(|w| w[0].at_h.partial_cmp(&w[1].at_h) != Some(std::cmp::Ordering::Less))
        {
            return Err(CurveError::NotRising { index: i + 1 });
        }
        Ok(Self { knots })
    }

    /// A temperature that never changes.
    pub fn constant(celsius: Celsius) -> Self {
        Self { knots: vec![Knot { at_h: 0.0, celsius }] }
    }

    /// Temperature in °C at `at_h`.
    pub fn at(&self, at_h: f64) -> f64 {
        let after = self.knots.partition_point(|k| k.at_h <= at_h);
        match (after.checked_sub(1).map(|i| self.knots[i]), self.knots.get(after)) {
            (Some(a), Some(b)) => {
                let share = (at_h - a.at_h) / (b.at_h - a.at_h);
                a.celsius.get() + share * (b.celsius.get() - a.celsius.get())
            }
            (Some(held), None) => held.celsius.get(),
            (None, Some(first)) => first.celsius.get(),
            (None, None) => unreachable!("a curve has at least one knot by construction"),
        }
    }

    /// The points the curve was built from.
    pub fn knots(&self) -> &[Knot] {
        &self.knots
    }

    /// The last measured point; from there on the temperature is held.
    pub fn last(&self) -> Knot {
        self.knots[self.knots.len() - 1]
    }

    /// The same with as few of its knots as keep every other one within `within_c` of the line between them; the last one
    /// stays, and what is kept does not depend on what comes after it.
    #[must_use]
    pub fn thinned(&self, within_c: f64) -> Self {
        let mut kept = vec![self.knots[0]];
        let mut from = self.knots[0];
        // Slopes from the last kept knot that pass all knots since near enough.
        let (mut least, mut most) = (f64::NEG_INFINITY, f64::INFINITY);
        for [before, here] in self.knots.array_windows() {
            let slope =
                |to: &Knot, over_c: f64| (to.celsius.get() + over_c - from.celsius.get()) / (to.at_h - from.at_h);
            if before.at_h > from.at_h {
                (least, most) = (least.max(slope(before, -within_c)), most.min(slope(before, within_c)));
            }
            if !(least..=most).contains(&slope(here, 0.0)) {
                from = *before;
                kept.push(from);
                (least, most) = (f64::NEG_INFINITY, f64::INFINITY);
            }
        }
        if self.knots.len() > 1 {
            kept.push(self.last());
        }
        Self { knots: kept }
    }

    /// The hour up to which both curves are the same; infinite where they are the same altogether, negative infinity where
    /// they never are.
    pub fn agrees_until_h(&self, other: &Self) -> f64 {
        if self == other {
            return f64::INFINITY;
        }
        let same = self.knots.iter().zip(&other.knots).take_while(|(a, b)| a == b);
        same.last().map_or(f64::NEG_INFINITY, |(knot, _)| knot.at_h)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn curve(points: &[(f64, f64)]) -> TemperatureCurve {
        let knot = |&(at_h, c): &(f64, f64)| Knot { at_h, celsius: Celsius::new(c).unwrap() };
        TemperatureCurve::new(points.iter().map(knot).collect()).unwrap()
    }

    #[test]
    fn knots_on_a_line_are_left_out() {
        let line = curve(&[(0.0, 20.0), (1.0, 19.0), (2.0, 18.0), (3.0, 17.0), (4.0, 18.0)]);
        assert_eq!(line.thinned(0.01), curve(&[(0.0, 20.0), (3.0, 17.0), (4.0, 18.0)]));
        assert_eq!(curve(&[(0.0, 20.0)]).thinned(0.05), curve(&[(0.0, 20.0)]));
    }

    #[test]
    fn two_curves_agree_up_to_their_last_common_reading() {
        let early = curve(&[(0.0, 20.0), (1.0, 19.0)]);
        let later = curve(&[(0.0, 20.0), (1.0, 19.0), (2.0, 15.0)]);
        assert!((early.agrees_until_h(&later) - 1.0).abs() < 1e-12);
        assert!(early.agrees_until_h(&early).is_infinite());
        assert!(early.agrees_until_h(&curve(&[(0.0, 21.0), (1.0, 19.0)])) < 0.0);
    }

    proptest! {
        #[test]
        fn a_thinned_curve_stays_near(steps in prop::collection::vec((0.01f64..1.0, -0.3f64..0.3), 1..60)) {
            let (mut at_h, mut c) = (0.0, 20.0);
            let points: Vec<(f64, f64)> = steps.iter().map(|(step_h, rise_c)| {
                (at_h, c) = (at_h + step_h, c + rise_c);
                (at_h, c)
            }).collect();
            let (whole, cut) = (curve(&points), curve(&points[..points.len().div_ceil(2)]));
            let thin = whole.thinned(0.05);
            for knot in whole.knots() {
                prop_assert!((thin.at(knot.at_h) - knot.celsius.get()).abs() <= 0.05 + 1e-9);
            }
            prop_assert_eq!(thin.last(), whole.last());
            // All that is kept of the half but its last knot is kept of the whole.
            let kept = cut.thinned(0.05);
            let early = &kept.knots()[..kept.knots().len() - 1];
            prop_assert_eq!(early, &thin.knots()[..early.len()]);
        }
    }
}

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
}

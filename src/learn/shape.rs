//! Which parameter stands where.

/// The parameters of a fit, in this order: a location for each stage, a coefficient for each temperature rule, the dose
/// exponent where there is one, and η, of which the spread is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Shape {
    pub stages: usize,
    pub rules: usize,
    pub dosed: bool,
}

/// No shop repeats itself better than this; very consistent brackets would drive the spread to nothing, with a likelihood
/// that is flat there (own working value, ln of time).
pub const SPREAD_FLOOR: f64 = 0.02;

impl Shape {
    /// How many parameters there are.
    pub fn len(self) -> usize {
        self.stages + self.rules + usize::from(self.dosed) + 1
    }

    pub fn stage(self, stage: usize) -> usize {
        debug_assert!(stage < self.stages, "a stage of this shape");
        stage
    }

    pub fn rule(self, rule: usize) -> usize {
        self.stages + rule
    }

    pub fn dose(self) -> Option<usize> {
        self.dosed.then_some(self.stages + self.rules)
    }

    pub fn spread(self) -> usize {
        self.len() - 1
    }
}

/// σ of ln(time) for η: σ² = floor² + e^{2η}, so that it cannot fall below the floor.
pub fn spread_of(eta: f64) -> f64 {
    SPREAD_FLOOR.hypot(eta.exp())
}

/// η for σ, which must be above the floor.
pub fn eta_of(spread: f64) -> f64 {
    0.5 * (spread * spread - SPREAD_FLOOR * SPREAD_FLOOR).max(1e-12).ln()
}

/// d ln σ/dη: 1 far above the floor, 0 at it.
pub fn spread_slope(eta: f64) -> f64 {
    (eta.exp() / spread_of(eta)).powi(2)
}

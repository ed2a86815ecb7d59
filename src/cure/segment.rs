//! Cure age over one straight piece of the temperature curve, and its inverse.

use super::rate::{CureRule, RateLaw};

/// A straight piece: from `start_c` to `end_c` (°C) in `hours`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Segment {
    pub hours: f64,
    pub start_c: f64,
    pub end_c: f64,
}

/// Nodes and weights of 5-point Gauss-Legendre quadrature on [−1, 1] (Abramowitz & Stegun, Table 25.4).
const GAUSS_5: [(f64, f64); 5] = [
    (0.0, 0.568_888_888_888_888_9),
    (-0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (0.538_469_310_105_683_1, 0.478_628_670_499_366_5),
    (-0.906_179_845_938_664, 0.236_926_885_056_189_1),
    (0.906_179_845_938_664, 0.236_926_885_056_189_1),
];

impl Segment {
    fn temperature(&self, share: f64) -> f64 {
        self.start_c + share * (self.end_c - self.start_c)
    }

    fn part(&self, from: f64, to: f64) -> Segment {
        Segment { hours: self.hours * (to - from), start_c: self.temperature(from), end_c: self.temperature(to) }
    }

    /// The part of the segment, as shares of its length, on which the clock runs: all, none, or one side of the floor.
    fn running(&self, rule: &CureRule) -> Option<(f64, f64)> {
        match (rule.stands_at(self.start_c), rule.stands_at(self.end_c), rule.floor) {
            (false, false, _) | (_, _, None) => Some((0.0, 1.0)),
            (true, true, _) => None,
            (stands_first, _, Some(floor)) => {
                let crossing = (floor.get() - self.start_c) / (self.end_c - self.start_c);
                Some(if stands_first { (crossing, 1.0) } else { (0.0, crossing) })
            }
        }
    }

    /// Cure age in hours gained over the whole segment.
    ///
    /// For [`RateLaw::Q10`] this is exact: the rate is exponential in time, so its mean is the logarithmic mean of the
    /// end rates. For [`RateLaw::Arrhenius`] it is quadrature with a relative error under 1e-12.
    pub fn age(&self, rule: &CureRule) -> f64 {
        self.running(rule).map_or(0.0, |(from, to)| self.part(from, to).age_above_floor(rule))
    }

    fn age_above_floor(&self, rule: &CureRule) -> f64 {
        let start_rate = rule.law.rate(self.start_c, rule.reference);
        match rule.law {
            RateLaw::Q10(q) => {
                let growth = q.get().ln() * (self.end_c - self.start_c) / 10.0;
                self.hours * start_rate * mean_of_exponential(growth)
            }
            RateLaw::Arrhenius(_) => {
                // Panels over which ln(rate) moves by at most 1: there the 5-point error bound,
                // h^11 (5!)^4 / (11 (10!)^3) · f^(10), is below 4e-13 of the integral.
                let growth = (rule.law.rate(self.end_c, rule.reference) / start_rate).ln().abs();
                let panels = growth.ceil().max(1.0);
                let mut sum = 0.0;
                let mut panel = 0.0;
                while panel < panels {
                    for (node, weight) in GAUSS_5 {
                        let share = (panel + 0.5 + node / 2.0) / panels;
                        sum += weight / 2.0 * rule.law.rate(self.temperature(share), rule.reference);
                    }
                    panel += 1.0;
                }
                self.hours * sum / panels
            }
        }
    }

    /// Hours from the start of the segment until `target` hours of cure age are gained; `target` must be more than 0
    /// and at most [`Segment::age`].
    pub fn reach(&self, rule: &CureRule, target: f64) -> f64 {
        let Some((from, to)) = self.running(rule) else { return self.hours };
        let part = self.part(from, to);
        let inside = match rule.law {
            RateLaw::Q10(q) => {
                let growth_per_h = q.get().ln() * (part.end_c - part.start_c) / 10.0 / part.hours;
                let start_rate = rule.law.rate(part.start_c, rule.reference);
                let linear = target / start_rate;
                let x = growth_per_h * linear;
                // ln(1 + x)/x → 1: the flat segment.
                if x.abs() < 1e-8 { linear * (1.0 - x / 2.0) } else { x.ln_1p() / growth_per_h }
            }
            RateLaw::Arrhenius(_) => part.reach_by_newton(rule, target),
        };
        self.hours * from + inside.min(part.hours)
    }

    /// Newton on age(t) = target, kept inside a bracket: the age rises strictly, so this cannot miss.
    fn reach_by_newton(&self, rule: &CureRule, target: f64) -> f64 {
        let (mut low, mut high) = (0.0, self.hours);
        let mut at = self.hours * (target / self.age_above_floor(rule)).min(1.0);
        for _ in 0..60 {
            let error = self.part(0.0, at / self.hours).age_above_floor(rule) - target;
            if error > 0.0 {
                high = at;
            } else {
                low = at;
            }
            let step = error / rule.law.rate(self.temperature(at / self.hours), rule.reference);
            if step.abs() <= 1e-13 * self.hours {
                break;
            }
            let newton = at - step;
            at = if newton > low && newton < high { newton } else { f64::midpoint(low, high) };
        }
        at
    }
}

/// Mean of e^(x s) over s in [0, 1]: (e^x − 1)/x, with its limit 1 at x = 0.
fn mean_of_exponential(x: f64) -> f64 {
    if x.abs() < 1e-8 { 1.0 + x / 2.0 } else { x.exp_m1() / x }
}

//! Cure age: equivalent hours at the reference temperature, along a temperature curve.
//!
//! dθ/dt = rate(T(t)), integrated from the first contact of the parts (the equivalent age of ASTM C1074). The rate of
//! the mean temperature is *not* the mean rate: on a cool night it is several per cent off.

use super::curve::TemperatureCurve;
use super::rate::CureRule;
use super::segment::Segment;

/// Cure age as a function of clock time, for one rule, one curve and one start. Rises or stands, never falls.
#[derive(Debug, Clone)]
pub struct AgeCurve {
    rule: CureRule,
    /// Clock hour, temperature and age reached there, from the start on; the last one is held.
    points: Vec<Point>,
}

#[derive(Debug, Clone, Copy)]
struct Point {
    at_h: f64,
    celsius: f64,
    age_h: f64,
}

impl AgeCurve {
    /// Integrates `rule` along `curve` from `start_h` on the curve's axis. O(knots after the start).
    pub fn new(curve: &TemperatureCurve, rule: CureRule, start_h: f64) -> Self {
        let first = curve.knots().partition_point(|k| k.at_h <= start_h);
        let mut points = Vec::with_capacity(curve.knots().len() - first + 1);
        let mut here = Point { at_h: start_h, celsius: curve.at(start_h), age_h: 0.0 };
        points.push(here);
        for knot in &curve.knots()[first..] {
            let segment = Segment { hours: knot.at_h - here.at_h, start_c: here.celsius, end_c: knot.celsius.get() };
            here = Point { at_h: knot.at_h, celsius: knot.celsius.get(), age_h: here.age_h + segment.age(&rule) };
            points.push(here);
        }
        Self { rule, points }
    }

    /// Cure age in hours at clock hour `at_h`; 0 before the start.
    pub fn age_at(&self, at_h: f64) -> f64 {
        let after = self.points.partition_point(|p| p.at_h <= at_h);
        let Some(from) = after.checked_sub(1).map(|i| self.points[i]) else { return 0.0 };
        let hours = at_h - from.at_h;
        if after == self.points.len() {
            return from.age_h + self.rule.rate(from.celsius) * hours;
        }
        from.age_h + Segment { hours, start_c: from.celsius, end_c: self.celsius_at(at_h) }.age(&self.rule)
    }

    /// The temperature in °C at clock hour `at_h`; the first one holds before the start, the last one after the last knot.
    fn celsius_at(&self, at_h: f64) -> f64 {
        let after = self.points.partition_point(|p| p.at_h <= at_h);
        match (after.checked_sub(1).map(|i| self.points[i]), self.points.get(after)) {
            (Some(from), Some(to)) => {
                from.celsius + (at_h - from.at_h) / (to.at_h - from.at_h) * (to.celsius - from.celsius)
            }
            (None, Some(first)) => first.celsius,
            (_, None) => self.held_c(),
        }
    }

    /// The clock hour at which `age_h` is reached, the last temperature held; `None` where it never is.
    pub fn reach(&self, age_h: f64) -> Option<f64> {
        self.reach_within_data(age_h).or_else(|| {
            let last = self.points[self.points.len() - 1];
            let rate = self.rule.rate(last.celsius);
            (rate > 0.0).then(|| last.at_h + (age_h - last.age_h) / rate)
        })
    }

    /// The same for what stops short below `least_c` °C: with its age, or later when it is warm enough.
    pub fn reach_where_warm(&self, age_h: f64, least_c: Option<f64>) -> Option<f64> {
        let aged_h = self.reach(age_h)?;
        least_c.map_or(Some(aged_h), |least_c| self.warm_from(aged_h, least_c))
    }

    /// The clock hour at which `age_h` is reached, not looking beyond the last knot.
    pub fn reach_within_data(&self, age_h: f64) -> Option<f64> {
        if age_h <= 0.0 {
            return Some(self.points[0].at_h);
        }
        let to = self.points.partition_point(|p| p.age_h < age_h);
        if to == 0 || to == self.points.len() {
            return None;
        }
        let (from, to) = (self.points[to - 1], self.points[to]);
        let segment = Segment { hours: to.at_h - from.at_h, start_c: from.celsius, end_c: to.celsius };
        Some(from.at_h + segment.reach(&self.rule, age_h - from.age_h))
    }

    /// The clock hour from which on the clock stands for good, the last temperature held; `None` while it runs.
    pub fn stands_since(&self) -> Option<f64> {
        let floor = self.rule.floor.filter(|_| self.rule.stands_at(self.held_c()))?.get();
        let last_h = self.points[self.points.len() - 1].at_h;
        Some(self.warm_until(last_h, floor).unwrap_or(self.points[0].at_h))
    }

    /// The first clock hour from `from_h` on at which it is `least_c` °C or warmer, the last temperature held; `None` where
    /// it never is.
    pub fn warm_from(&self, from_h: f64, least_c: f64) -> Option<f64> {
        if self.celsius_at(from_h) >= least_c {
            return Some(from_h);
        }
        let after = self.points.partition_point(|p| p.at_h <= from_h);
        let warm = after + self.points[after..].iter().position(|p| p.celsius >= least_c)?;
        // Colder at `from_h`, so the line to the warm point rises: there is a point before it.
        Some(self.crossing(warm.checked_sub(1)?, least_c).max(from_h))
    }

    /// The last clock hour up to `until_h` at which it was `least_c` °C or warmer; `None` where it was not since the start.
    pub fn warm_until(&self, until_h: f64, least_c: f64) -> Option<f64> {
        if self.celsius_at(until_h) >= least_c {
            return Some(until_h);
        }
        let after = self.points.partition_point(|p| p.at_h <= until_h);
        // Colder at `until_h`, so the line from the warm point falls: there is a point behind it.
        let warm = self.points[..after].iter().rposition(|p| p.celsius >= least_c)?;
        Some(self.crossing(warm, least_c).min(until_h))
    }

    /// Where the line from the point `index` to the next one crosses `celsius`, which lies between the two.
    fn crossing(&self, index: usize, celsius: f64) -> f64 {
        let (from, to) = (self.points[index], self.points[index + 1]);
        from.at_h + (to.at_h - from.at_h) * (celsius - from.celsius) / (to.celsius - from.celsius)
    }

    /// The rule the ages were computed with.
    pub fn rule(&self) -> &CureRule {
        &self.rule
    }

    /// The temperature in °C held after the last knot.
    pub fn held_c(&self) -> f64 {
        self.points[self.points.len() - 1].celsius
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::{Knot, RateLaw};
    use crate::units::{Celsius, KjPerMol, Q10};
    use proptest::prelude::*;

    fn c(value: f64) -> Celsius {
        Celsius::new(value).unwrap()
    }

    fn q10(q: f64, floor: Option<f64>) -> CureRule {
        CureRule { law: RateLaw::Q10(Q10::new(q).unwrap()), reference: c(25.0), floor: floor.map(c) }
    }

    fn arrhenius(e: f64) -> CureRule {
        CureRule { law: RateLaw::Arrhenius(KjPerMol::new(e).unwrap()), reference: c(25.0), floor: None }
    }

    fn curve(points: &[(f64, f64)]) -> TemperatureCurve {
        TemperatureCurve::new(points.iter().map(|&(at_h, t)| Knot { at_h, celsius: c(t) }).collect()).unwrap()
    }

    #[test]
    fn the_clock_stands_below_the_floor() {
        let ages =
            AgeCurve::new(&curve(&[(0.0, 25.0), (1.0, 25.0), (2.0, 5.0), (3.0, 5.0)]), q10(2.0, Some(15.0)), 0.0);
        let at_crossing = ages.age_at(1.5);
        assert!(at_crossing > 1.0);
        assert!((ages.age_at(3.0) - at_crossing).abs() < 1e-12, "nothing is gained under the floor");
        assert_eq!(ages.reach(at_crossing + 0.1), None, "never at this temperature");
    }

    #[test]
    fn it_is_known_since_when_the_clock_stands() {
        let since = |points: &[(f64, f64)]| AgeCurve::new(&curve(points), q10(2.0, Some(15.0)), 0.0).stands_since();
        assert_eq!(since(&[(0.0, 25.0), (1.0, 25.0), (2.0, 5.0), (3.0, 5.0)]), Some(1.5));
        assert_eq!(since(&[(0.0, 5.0), (1.0, 25.0), (2.0, 15.0)]), None, "the floor itself is warm enough");
        assert_eq!(since(&[(-1.0, 5.0)]), Some(0.0), "never ran at all");
    }

    #[test]
    fn it_is_known_from_when_on_and_until_when_it_is_warm() {
        let ages = AgeCurve::new(&curve(&[(0.0, 10.0), (2.0, 20.0), (4.0, 20.0), (5.0, 10.0)]), q10(2.0, None), 0.0);
        let from = [0.0, 1.5, 3.0, 4.25, 4.75, 9.0].map(|at_h| ages.warm_from(at_h, 15.0));
        assert_eq!(from, [Some(1.0), Some(1.5), Some(3.0), Some(4.25), None, None]);
        let until = [-1.0, 0.5, 1.5, 4.75, 9.0].map(|at_h| ages.warm_until(at_h, 15.0));
        assert_eq!(until, [None, None, Some(1.5), Some(4.5), Some(4.5)]);
        assert_eq!((ages.warm_from(0.0, 10.0), ages.warm_from(-1.0, 15.0)), (Some(0.0), Some(1.0)));
        assert_eq!((ages.warm_from(0.0, 20.0), ages.warm_from(0.0, 20.1)), (Some(2.0), None));
    }

    #[test]
    fn the_clock_goes_on_where_the_floor_is_crossed_again() {
        let ages = AgeCurve::new(&curve(&[(0.0, 5.0), (1.0, 25.0)]), q10(2.0, Some(15.0)), 0.0);
        assert!(ages.age_at(0.5).abs() < 1e-15);
        let reached = ages.reach(0.1).unwrap();
        assert!(reached > 0.5 && (ages.age_at(reached) - 0.1).abs() < 1e-12);
    }

    #[test]
    fn a_start_between_readings_uses_the_line_between_them() {
        let ages = AgeCurve::new(&curve(&[(0.0, 15.0), (2.0, 25.0)]), q10(2.0, None), 1.0);
        // Logarithmic mean of the rates at 20 and 25 °C.
        let (low, high) = (2f64.powf(-0.5), 1.0f64);
        assert!((ages.age_at(2.0) - (high - low) / (high / low).ln()).abs() < 1e-12);
    }

    fn any_curve() -> impl Strategy<Value = TemperatureCurve> {
        prop::collection::vec((0.05f64..4.0, 2.0f64..40.0), 1..12).prop_map(|steps| {
            let mut at = 0.0;
            let points: Vec<_> = steps
                .into_iter()
                .map(|(step, t)| {
                    at += step;
                    (at, t)
                })
                .collect();
            curve(&points)
        })
    }

    fn any_rule() -> impl Strategy<Value = CureRule> {
        prop_oneof![
            (1.0f64..5.0).prop_map(|q| q10(q, None)),
            (1.0f64..5.0, 5.0f64..20.0).prop_map(|(q, f)| q10(q, Some(f))),
            (10.0f64..150.0).prop_map(arrhenius),
        ]
    }

    proptest! {
        #[test]
        fn age_never_falls_with_time(curve in any_curve(), rule in any_rule(), a in 0.0f64..50.0, b in 0.0f64..50.0) {
            let ages = AgeCurve::new(&curve, rule, 0.0);
            prop_assert!(ages.age_at(a.min(b)) <= ages.age_at(a.max(b)) + 1e-12);
        }

        #[test]
        fn a_warmer_bench_is_never_slower(curve in any_curve(), rule in any_rule(), warmer in 0.0f64..10.0, at in 0.0f64..50.0) {
            let raised = TemperatureCurve::new(
                curve.knots().iter().map(|k| Knot { at_h: k.at_h, celsius: c(k.celsius.get() + warmer) }).collect(),
            ).unwrap();
            let cool = AgeCurve::new(&curve, rule, 0.0).age_at(at);
            let warm = AgeCurve::new(&raised, rule, 0.0).age_at(at);
            prop_assert!(warm >= cool - 1e-9 * cool.max(1.0));
        }

        #[test]
        fn splitting_an_interval_changes_nothing(curve in any_curve(), rule in any_rule(), cut in 0.01f64..0.99) {
            let last = curve.last().at_h;
            let at = last * cut;
            let mut knots = curve.knots().to_vec();
            let place = knots.partition_point(|k| k.at_h < at);
            prop_assume!(knots.get(place).is_none_or(|k| (k.at_h - at).abs() > 1e-9));
            knots.insert(place, Knot { at_h: at, celsius: c(curve.at(at)) });
            let split = TemperatureCurve::new(knots).unwrap();
            let (one, two) = (AgeCurve::new(&curve, rule, 0.0).age_at(last), AgeCurve::new(&split, rule, 0.0).age_at(last));
            prop_assert!((one - two).abs() <= 1e-11 * one.max(1.0), "{one} {two}");
        }

        #[test]
        fn constant_temperature_equals_the_formula(t in 0.0f64..45.0, q in 1.0f64..5.0, hours in 0.0f64..100.0) {
            let ages = AgeCurve::new(&TemperatureCurve::constant(c(t)), q10(q, None), 0.0);
            let formula = hours * q.powf((t - 25.0) / 10.0);
            prop_assert!((ages.age_at(hours) - formula).abs() <= 1e-12 * formula.max(1.0));
        }

        #[test]
        fn reaching_an_age_and_asking_for_it_agree(curve in any_curve(), rule in any_rule(), age in 0.001f64..60.0) {
            let ages = AgeCurve::new(&curve, rule, 0.0);
            if let Some(at) = ages.reach(age) {
                prop_assert!((ages.age_at(at) - age).abs() <= 1e-9 * age.max(1.0), "{} {age}", ages.age_at(at));
            } else {
                prop_assert!(rule.stands_at(ages.held_c()));
            }
        }

        #[test]
        fn quadrature_agrees_with_a_thousand_small_steps(from in 5.0f64..35.0, to in 5.0f64..35.0, e in 20.0f64..150.0) {
            let rule = arrhenius(e);
            let ages = AgeCurve::new(&curve(&[(0.0, from), (1.0, to)]), rule, 0.0);
            // Composite Simpson rule, an independent quadrature.
            let n = 1000;
            let simpson: f64 = (0..=n).map(|i| {
                let weight = if i == 0 || i == n { 1.0 } else if i % 2 == 1 { 4.0 } else { 2.0 };
                weight * rule.rate(from + (to - from) * f64::from(i) / f64::from(n))
            }).sum::<f64>() / (3.0 * f64::from(n));
            prop_assert!((ages.age_at(1.0) / simpson - 1.0).abs() < 1e-10);
        }
    }
}

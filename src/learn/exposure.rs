//! What a batch has been through until a look, in few figures.
//!
//! The likelihood needs the cure age at every look, for many values of the temperature rule's coefficient β:
//! age(β) = ∫ exp(β · warmth(T(t))) dt. That integral depends on the night only through how long it was how warm. This
//! distribution is replaced by its Gauss quadrature with a few nodes (Golub & Welsch 1969), which integrates polynomials in
//! the warmth of degree 2·6 − 1 exactly: a whole night of readings costs as much as six of them, and over 30 °C the age is
//! within 1e-5 of the integral along the readings.

use crate::cure::{CureRule, TemperatureCurve};
use nalgebra::DMatrix;

/// Nodes kept.
const NODES: usize = 6;
/// A straight piece of the curve is cut so that no part spans more than this, °C.
const PART_C: f64 = 2.0;
/// One that spans less than this is its middle, °C: the error is under 1e-7 of its age.
const MIDDLE_C: f64 = 0.01;
/// Gauss-Legendre nodes and weights on [0, 1] for each part (Abramowitz & Stegun, Table 25.4).
const IN_PART: [(f64, f64); 3] = [
    (0.112_701_665_379_258_3, 0.277_777_777_777_777_8),
    (0.5, 0.444_444_444_444_444_4),
    (0.887_298_334_620_741_7, 0.277_777_777_777_777_8),
];

/// So many hours at a warmth; warmth as in [`crate::cure::RateLaw::warmth`].
#[derive(Debug, Clone, Copy, PartialEq)]
struct Part {
    warmth: f64,
    hours: f64,
}

/// The hours from first contact to a look, by how warm they were; what lies under the floor is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Exposure {
    parts: Vec<Part>,
}

/// ln of a cure age, with its first and second derivative by the coefficient.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct LnAge {
    pub value: f64,
    pub slope: f64,
    pub bend: f64,
}

impl Exposure {
    /// `hours` at one warmth; hours above 0.
    pub fn constant(warmth: f64, hours: f64) -> Self {
        Self { parts: vec![Part { warmth, hours }] }
    }

    /// From `start_h` to `end_h` along `curve`; `None` where no time passed above the floor of `rule`.
    pub fn along(curve: &TemperatureCurve, rule: &CureRule, start_h: f64, end_h: f64) -> Option<Self> {
        let inner = curve.knots().iter().map(|knot| knot.at_h).filter(|at_h| *at_h > start_h && *at_h < end_h);
        let times: Vec<f64> = std::iter::once(start_h).chain(inner).chain([end_h]).collect();
        let mut parts = Vec::new();
        let mut from_c = curve.at(start_h);
        let (mut least_c, mut most_c) = (from_c, from_c);
        for [from, to] in times.array_windows() {
            let to_c = curve.at(*to);
            add_piece(&mut parts, rule, to - from, from_c, to_c);
            (least_c, most_c, from_c) = (least_c.min(to_c), most_c.max(to_c), to_c);
        }
        let hours: f64 = parts.iter().map(|part| part.hours).sum();
        (hours > 0.0).then(|| Self { parts: reduced(binned(parts, most_c - least_c)) })
    }

    /// ln(age) where ln(rate) is `coefficient` · warmth.
    pub(super) fn ln_age(&self, coefficient: f64) -> LnAge {
        if let [only] = self.parts.as_slice() {
            return LnAge { value: only.hours.ln() + coefficient * only.warmth, slope: only.warmth, bend: 0.0 };
        }
        let (mut sum, mut first, mut second) = (0.0, 0.0, 0.0);
        for Part { warmth, hours } in &self.parts {
            let aged = hours * (coefficient * warmth).exp();
            sum += aged;
            first += aged * warmth;
            second += aged * warmth * warmth;
        }
        let slope = first / sum;
        LnAge { value: sum.ln(), slope, bend: second / sum - slope * slope }
    }

    /// Hours above the floor.
    pub(super) fn hours(&self) -> f64 {
        self.parts.iter().map(|part| part.hours).sum()
    }

    /// The mean warmth.
    pub(super) fn warmth(&self) -> f64 {
        self.parts.iter().map(|part| part.hours * part.warmth).sum::<f64>() / self.hours()
    }
}

fn add_piece(parts: &mut Vec<Part>, rule: &CureRule, hours: f64, from_c: f64, to_c: f64) {
    let c = |share: f64| from_c + share * (to_c - from_c);
    let (mut low, mut high) = (0.0, 1.0);
    if let Some(floor) = rule.floor.map(crate::units::Celsius::get) {
        let crossing = (floor - from_c) / (to_c - from_c);
        match (from_c < floor, to_c < floor) {
            (true, true) => return,
            (true, false) => low = crossing,
            (false, true) => high = crossing,
            (false, false) => {}
        }
    }
    let span_c = (c(high) - c(low)).abs();
    if span_c < MIDDLE_C {
        let share = f64::midpoint(low, high);
        parts.push(Part { warmth: rule.law.warmth(c(share), rule.reference), hours: hours * (high - low) });
        return;
    }
    let cuts = (span_c / PART_C).ceil();
    let mut cut = 0.0;
    while cut < cuts {
        for (node, weight) in IN_PART {
            let share = low + (high - low) * (cut + node) / cuts;
            let hours = hours * (high - low) / cuts * weight;
            parts.push(Part { warmth: rule.law.warmth(c(share), rule.reference), hours });
        }
        cut += 1.0;
    }
}

/// Points nearer to each other than this, °C, are their mean before anything else is done with them: to second order in the
/// difference, which is under 1e-5 of an age.
const BIN_C: f64 = 0.05;
/// More bins than this a night does not need.
const MOST_BINS: f64 = 256.0;

/// A night of readings has thousands of points, and few of them differ.
fn binned(parts: Vec<Part>, span_c: f64) -> Vec<Part> {
    let bins = (span_c / BIN_C).ceil().clamp(1.0, MOST_BINS);
    if parts.len() as f64 <= bins {
        return parts;
    }
    let fold = |f: fn(f64, f64) -> f64, from: f64| parts.iter().map(|part| part.warmth).fold(from, f);
    let (least, most) = (fold(f64::min, f64::INFINITY), fold(f64::max, f64::NEG_INFINITY));
    let scale = bins / (most - least).max(f64::MIN_POSITIVE);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to the bins")]
    let place = |warmth: f64| ((warmth - least) * scale).clamp(0.0, bins - 1.0) as usize;
    let mut sums = vec![Part { warmth: 0.0, hours: 0.0 }; place(most) + 1];
    for part in parts {
        let sum = &mut sums[place(part.warmth)];
        sum.warmth += part.hours * part.warmth;
        sum.hours += part.hours;
    }
    sums.retain(|sum| sum.hours > 0.0);
    for sum in &mut sums {
        sum.warmth /= sum.hours;
    }
    sums
}

/// The Gauss quadrature of a weighted set of points: Lanczos on their diagonal matrix gives a small tridiagonal one, whose
/// eigenvalues are the nodes and whose eigenvectors' first elements give the weights.
fn reduced(parts: Vec<Part>) -> Vec<Part> {
    if parts.len() <= NODES {
        return merged(parts);
    }
    let hours: f64 = parts.iter().map(|part| part.hours).sum();
    let mean = parts.iter().map(|part| part.hours * part.warmth).sum::<f64>() / hours;
    let width = parts.iter().map(|part| (part.warmth - mean).abs()).fold(0.0, f64::max);
    if width <= 1e-12 * mean.abs().max(1e-9) {
        return vec![Part { warmth: mean, hours }];
    }
    // Points in [−1, 1]: the scale of the warmth does not matter.
    let points: Vec<f64> = parts.iter().map(|part| (part.warmth - mean) / width).collect();
    let mut basis: Vec<Vec<f64>> = vec![parts.iter().map(|part| (part.hours / hours).sqrt()).collect()];
    let (mut diagonal, mut beside) = (Vec::new(), Vec::new());
    while diagonal.len() < NODES {
        let newest = &basis[basis.len() - 1];
        let mut next: Vec<f64> = newest.iter().zip(&points).map(|(v, x)| v * x).collect();
        diagonal.push(dot(newest, &next));
        // Against all earlier ones: exact arithmetic would need only the last two.
        for vector in &basis {
            let along = dot(vector, &next);
            next.iter_mut().zip(vector).for_each(|(n, v)| *n -= along * v);
        }
        let length = dot(&next, &next).sqrt();
        if diagonal.len() == NODES || length < 1e-12 {
            break;
        }
        for n in &mut next {
            *n /= length;
        }
        beside.push(length);
        basis.push(next);
    }
    let nodes = diagonal.len();
    let jacobi = DMatrix::from_fn(nodes, nodes, |row, column| match row.abs_diff(column) {
        0 => diagonal[row],
        1 => beside[row.min(column)],
        _ => 0.0,
    });
    let eigen = jacobi.symmetric_eigen();
    let node = |i: usize| Part {
        warmth: mean + width * eigen.eigenvalues[i],
        hours: hours * eigen.eigenvectors[(0, i)].powi(2),
    };
    (0..nodes).map(node).collect()
}

/// Parts of one warmth are one.
fn merged(parts: Vec<Part>) -> Vec<Part> {
    let mut kept: Vec<Part> = Vec::with_capacity(parts.len());
    for part in parts {
        match kept.iter_mut().find(|old| old.warmth.to_bits() == part.warmth.to_bits()) {
            Some(old) => old.hours += part.hours,
            None => kept.push(part),
        }
    }
    kept
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::{AgeCurve, Knot, RateLaw};
    use crate::units::{Celsius, KjPerMol, Q10};
    use proptest::prelude::*;

    fn curve(steps: &[(f64, f64)]) -> TemperatureCurve {
        let mut at_h = 0.0;
        let knots = steps.iter().map(|(step, c)| {
            at_h += step;
            Knot { at_h, celsius: Celsius::new(*c).unwrap() }
        });
        TemperatureCurve::new(knots.collect()).unwrap()
    }

    #[test]
    fn a_constant_bench_is_one_part() {
        let rule = rule(RateLaw::Q10(Q10::new(2.0).unwrap()), None);
        let steady =
            Exposure::along(&TemperatureCurve::constant(Celsius::new(15.0).unwrap()), &rule, 0.0, 4.0).unwrap();
        assert_eq!(steady.parts.len(), 1);
        // Four hours 10 °C under the reference are two at it.
        let age = steady.ln_age(2f64.ln());
        assert!((age.value - 2f64.ln()).abs() < 1e-12 && (age.slope + 1.0).abs() < 1e-12 && age.bend == 0.0);
    }

    #[test]
    fn under_the_floor_there_is_none() {
        let rule = rule(RateLaw::Q10(Q10::new(2.0).unwrap()), Some(13.0));
        let cold = TemperatureCurve::constant(Celsius::new(12.0).unwrap());
        assert_eq!(Exposure::along(&cold, &rule, 0.0, 4.0), None);
    }

    fn rule(law: RateLaw, floor: Option<f64>) -> CureRule {
        CureRule { law, reference: Celsius::new(25.0).unwrap(), floor: floor.map(|c| Celsius::new(c).unwrap()) }
    }

    fn any_law() -> impl Strategy<Value = RateLaw> {
        prop_oneof![
            (1.2f64..4.0).prop_map(|q| RateLaw::Q10(Q10::new(q).unwrap())),
            (20.0f64..110.0).prop_map(|e| RateLaw::Arrhenius(KjPerMol::new(e).unwrap())),
        ]
    }

    proptest! {
        #[test]
        fn it_has_the_age_of_the_whole_curve(
            steps in prop::collection::vec((0.05f64..3.0, 5.0f64..35.0), 2..40),
            law in any_law(),
            floor in prop::option::of(6.0f64..15.0),
            (from, to) in (0.0f64..20.0, 0.1f64..60.0),
        ) {
            let (curve, rule) = (curve(&steps), rule(law, floor));
            let want = AgeCurve::new(&curve, rule, from).age_at(from + to);
            match Exposure::along(&curve, &rule, from, from + to) {
                Some(exposure) => {
                    let got = exposure.ln_age(law.coefficient()).value.exp();
                    prop_assert!((got / want - 1.0).abs() < 1e-5, "{got} {want}");
                }
                None => prop_assert!(want < 1e-9),
            }
        }

        #[test]
        fn its_derivatives_are_those_of_its_differences(
            steps in prop::collection::vec((0.05f64..3.0, 5.0f64..35.0), 2..20),
            coefficient in 0.2f64..1.2,
        ) {
            let rule = rule(RateLaw::Q10(Q10::new(2.0).unwrap()), None);
            let exposure = Exposure::along(&curve(&steps), &rule, 0.0, 30.0).unwrap();
            let at = |step: f64| exposure.ln_age(coefficient + step * 1e-5);
            let age = at(0.0);
            prop_assert!((age.slope - (at(1.0).value - at(-1.0).value) / 2e-5).abs() < 1e-5);
            prop_assert!((age.bend - (at(1.0).slope - at(-1.0).slope) / 2e-5).abs() < 1e-5);
        }
    }
}

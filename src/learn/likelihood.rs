//! The exact likelihood of censored observations, with its gradient and Hessian.
//!
//! z = (ln age(β) − offset − location − n · strength) / (ratio · σ) is standard normal. A look that found the stage there
//! says Z ≤ z, one that did not says Z > z, two say both, and a watched moment has the density φ(z)/(ratio σ t) (Meeker &
//! Escobar 1998, chapters 7 and 19). Where an entry may be a slip, its likelihood is the mixture `(1 − p) L + p L_slip`, in
//! which a reading that nothing explains loses its pull.

use super::datum::{Datum, Span};
use super::exposure::{Exposure, LnAge};
use super::normal::{Between, ln_density};
use super::shape::{Shape, spread_of, spread_slope};
use nalgebra::{DMatrix, DVector};

/// Parameters that one observation knows: location, coefficient, dose exponent, η.
const LOCAL: usize = 4;
/// Brackets narrower than this in standard deviations count as their middle: differences of derivatives would cancel.
const POINT: f64 = 1e-5;

/// A value with its derivatives by the local parameters.
#[derive(Debug, Clone, Copy)]
struct Local {
    value: f64,
    gradient: [f64; LOCAL],
    hessian: [[f64; LOCAL]; LOCAL],
}

/// A value with its gradient and Hessian by all parameters.
#[derive(Debug, Clone)]
pub(super) struct Curvature {
    pub value: f64,
    pub gradient: DVector<f64>,
    pub hessian: DMatrix<f64>,
}

impl Curvature {
    pub fn zero(parameters: usize) -> Self {
        Self { value: 0.0, gradient: DVector::zeros(parameters), hessian: DMatrix::zeros(parameters, parameters) }
    }
}

/// ln of the likelihood of all of `data` at `at`, with its derivatives.
pub(super) fn ln_likelihood(shape: Shape, data: &[Datum], at: &DVector<f64>) -> Curvature {
    let mut sum = Curvature::zero(shape.len());
    for datum in data {
        let local = with_slip(datum, of(shape, datum, at));
        sum.value += datum.count * local.value;
        let places = places(shape, datum);
        for (i, row) in places.iter().enumerate().filter_map(|(i, row)| Some((i, (*row)?))) {
            sum.gradient[row] += datum.count * local.gradient[i];
            for (j, column) in places.iter().enumerate().filter_map(|(j, column)| Some((j, (*column)?))) {
                sum.hessian[(row, column)] += datum.count * local.hessian[i][j];
            }
        }
    }
    sum
}

/// The gradient of one observation's ln likelihood by all parameters: its pull on them.
pub(super) fn pull(shape: Shape, datum: &Datum, at: &DVector<f64>) -> DVector<f64> {
    ln_likelihood(shape, std::slice::from_ref(datum), at).gradient
}

/// How likely it is, after the fact, that the observation is what it says and no slip; 1 where it cannot be one.
pub(super) fn trust(shape: Shape, datum: &Datum, at: &DVector<f64>) -> f64 {
    datum.slip.map_or(1.0, |slip| {
        let real = (1.0 - slip.probability).ln() + of(shape, datum, at).value;
        let slipped = slip.probability.ln() + slip.ln_likelihood;
        1.0 / (1.0 + (slipped - real).exp())
    })
}

/// ln of the likelihood of `span` if ln(age) were normal about `centre` with `sd`: for what a slip may be.
pub(super) fn ln_likelihood_of(datum: &Datum, coefficient: f64, centre: f64, sd: f64) -> f64 {
    let age = |exposure: &Exposure| exposure.ln_age(coefficient);
    let standard = Standard { sd, slope: 0.0, strength: 0.0, centre };
    span(&datum.span, age, &standard).value
}

fn places(shape: Shape, datum: &Datum) -> [Option<usize>; LOCAL] {
    [Some(shape.stage(datum.stage)), Some(shape.rule(datum.rule)), shape.dose(), Some(shape.spread())]
}

fn of(shape: Shape, datum: &Datum, at: &DVector<f64>) -> Local {
    let exponent = shape.dose().map_or(0.0, |place| at[place]);
    let eta = at[shape.spread()];
    let coefficient = at[shape.rule(datum.rule)];
    let standard = Standard {
        sd: datum.spread_ratio * spread_of(eta),
        slope: spread_slope(eta),
        strength: datum.strength,
        centre: datum.offset + at[shape.stage(datum.stage)] + exponent * datum.strength,
    };
    span(&datum.span, |exposure| exposure.ln_age(coefficient), &standard)
}

/// `(1 − p) L + p L_slip`: of the derivatives only the first part has any.
fn with_slip(datum: &Datum, real: Local) -> Local {
    let Some(slip) = datum.slip else { return real };
    let (ln_real, ln_slip) = ((1.0 - slip.probability).ln() + real.value, slip.probability.ln() + slip.ln_likelihood);
    let most = ln_real.max(ln_slip);
    let value = most + ((ln_real - most).exp() + (ln_slip - most).exp()).ln();
    let share = (ln_real - value).exp();
    let mut mixed = Local { value, gradient: real.gradient.map(|g| share * g), hessian: real.hessian };
    for i in 0..LOCAL {
        for j in 0..LOCAL {
            let steep = (1.0 - share) * real.gradient[i] * real.gradient[j];
            mixed.hessian[i][j] = share * (real.hessian[i][j] + steep);
        }
    }
    mixed
}

/// What turns ln(age) into z.
struct Standard {
    sd: f64,
    /// d ln sd/dη.
    slope: f64,
    strength: f64,
    centre: f64,
}

/// z with its derivatives by the local parameters.
#[derive(Clone, Copy)]
struct Z {
    value: f64,
    gradient: [f64; LOCAL],
    hessian: [[f64; LOCAL]; LOCAL],
}

impl Standard {
    fn z(&self, age: LnAge) -> Z {
        let value = (age.value - self.centre) / self.sd;
        let gradient = [-1.0 / self.sd, age.slope / self.sd, -self.strength / self.sd, -value * self.slope];
        let mut hessian = [[0.0; LOCAL]; LOCAL];
        hessian[1][1] = age.bend / self.sd;
        for i in 0..3 {
            hessian[i][3] = -gradient[i] * self.slope;
            hessian[3][i] = hessian[i][3];
        }
        // d slope/dη = 2 slope (1 − slope).
        hessian[3][3] = value * self.slope * (self.slope - 2.0 * (1.0 - self.slope));
        Z { value, gradient, hessian }
    }

    /// ln of the density of ln(age) at `z`, less what does not depend on parameters.
    fn density(&self, z: &Z) -> Local {
        let mut local = Local {
            value: ln_density(z.value) - self.sd.ln(),
            gradient: z.gradient.map(|g| -z.value * g),
            hessian: [[0.0; LOCAL]; LOCAL],
        };
        local.gradient[3] -= self.slope;
        for i in 0..LOCAL {
            for j in 0..LOCAL {
                local.hessian[i][j] = -z.gradient[i] * z.gradient[j] - z.value * z.hessian[i][j];
            }
        }
        local.hessian[3][3] -= 2.0 * self.slope * (1.0 - self.slope);
        local
    }
}

fn span(span: &Span, age: impl Fn(&Exposure) -> LnAge, standard: &Standard) -> Local {
    match span {
        Span::At { at, hours } => {
            let density = standard.density(&standard.z(age(at)));
            Local { value: density.value - hours.ln(), ..density }
        }
        Span::After(after) => between(Some(standard.z(age(after))), None),
        Span::By(by) => between(None, Some(standard.z(age(by)))),
        Span::Between { after, by } => {
            let (after, by) = (age(after), age(by));
            if by.value - after.value < POINT * standard.sd {
                let middle = LnAge {
                    value: f64::midpoint(after.value, by.value),
                    slope: f64::midpoint(after.slope, by.slope),
                    bend: f64::midpoint(after.bend, by.bend),
                };
                let density = standard.density(&standard.z(middle));
                return Local {
                    value: density.value + (by.value - after.value).max(f64::MIN_POSITIVE).ln(),
                    ..density
                };
            }
            between(Some(standard.z(after)), Some(standard.z(by)))
        }
    }
}

/// ln P(a < Z ≤ b) by the chain rule; `None` is open.
fn between(a: Option<Z>, b: Option<Z>) -> Local {
    const OPEN: [f64; LOCAL] = [0.0; LOCAL];
    let open = |value| Z { value, gradient: OPEN, hessian: [OPEN; LOCAL] };
    let (a, b) = (a.unwrap_or(open(f64::NEG_INFINITY)), b.unwrap_or(open(f64::INFINITY)));
    let p = Between::of(a.value, b.value);
    let mut local = Local { value: p.ln_p, gradient: [0.0; LOCAL], hessian: [[0.0; LOCAL]; LOCAL] };
    for i in 0..LOCAL {
        let (a_i, b_i) = (a.gradient[i], b.gradient[i]);
        local.gradient[i] = p.d_a * a_i + p.d_b * b_i;
        for j in 0..LOCAL {
            let (a_j, b_j) = (a.gradient[j], b.gradient[j]);
            local.hessian[i][j] = p.d_aa * a_i * a_j
                + p.d_ab * (a_i * b_j + b_i * a_j)
                + p.d_bb * b_i * b_j
                + p.d_a * a.hessian[i][j]
                + p.d_b * b.hessian[i][j];
        }
    }
    local
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::learn::datum::Slip;
    use proptest::prelude::*;

    const SHAPE: Shape = Shape { stages: 2, rules: 1, dosed: true };

    fn any_span() -> impl Strategy<Value = Span> {
        let exposure = |hours: f64| Exposure::constant(0.4, hours);
        prop_oneof![
            (0.1f64..9.0).prop_map(move |h| Span::After(exposure(h))),
            (0.1f64..9.0).prop_map(move |h| Span::By(exposure(h))),
            (0.1f64..9.0, 1.01f64..3.0)
                .prop_map(move |(h, by)| Span::Between { after: exposure(h), by: exposure(h * by) }),
            (0.1f64..9.0).prop_map(move |hours| Span::At { at: exposure(hours), hours }),
        ]
    }

    fn any_datum() -> impl Strategy<Value = Datum> {
        let slip = prop::option::of((0.01f64..0.4, -4.0f64..-0.5));
        (0usize..2, any_span(), -0.7f64..0.7, 0.5f64..2.0, slip).prop_map(|(stage, span, strength, ratio, slip)| {
            Datum {
                stage,
                rule: 0,
                span,
                strength,
                offset: 0.3,
                spread_ratio: ratio,
                slip: slip.map(|(probability, ln_likelihood)| Slip { probability, ln_likelihood }),
                count: 2.0,
            }
        })
    }

    proptest! {
        #[test]
        fn its_derivatives_are_those_of_its_differences(
            data in prop::collection::vec(any_datum(), 1..6),
            at in (-0.5f64..0.5, -0.5f64..0.5, 0.3f64..1.2, 0.3f64..1.2, -2.5f64..-0.5),
        ) {
            let at = DVector::from_vec(vec![at.0, at.1, at.2, at.3, at.4]);
            let got = ln_likelihood(SHAPE, &data, &at);
            let h = 1e-5;
            for i in 0..SHAPE.len() {
                let moved = |step: f64| {
                    let mut moved = at.clone();
                    moved[i] += step * h;
                    ln_likelihood(SHAPE, &data, &moved)
                };
                let (up, down) = (moved(1.0), moved(-1.0));
                let near = |got: f64, want: f64, scale: f64| (got - want).abs() < 1e-4 * want.abs().max(scale);
                prop_assert!(near(got.gradient[i], (up.value - down.value) / (2.0 * h), 10.0), "{i}");
                for j in 0..SHAPE.len() {
                    let want = (up.gradient[j] - down.gradient[j]) / (2.0 * h);
                    prop_assert!(near(got.hessian[(i, j)], want, 100.0), "{i} {j} {} {want}", got.hessian[(i, j)]);
                }
            }
        }
    }

    #[test]
    fn what_nothing_explains_loses_its_pull() {
        let at = DVector::from_vec(vec![0.0, 0.0, 0.7, 0.9, -2.0]);
        let datum = |hours: f64| Datum {
            stage: 0,
            rule: 0,
            span: Span::Between { after: Exposure::constant(0.0, hours * 0.95), by: Exposure::constant(0.0, hours) },
            strength: 0.0,
            offset: 0.0,
            spread_ratio: 1.0,
            slip: Some(Slip { probability: 0.05, ln_likelihood: -4.5 }),
            count: 1.0,
        };
        assert!(trust(SHAPE, &datum(1.0), &at) > 0.98);
        assert!(trust(SHAPE, &datum(3.0), &at) < 0.01);
        assert!(pull(SHAPE, &datum(3.0), &at).norm() < pull(SHAPE, &datum(1.15), &at).norm() / 50.0);
    }
}

//! Climbing to the top of a likelihood: Newton's steps, damped where they would lead down or the surface bends up.

use super::likelihood::Curvature;
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};

/// More steps than any identified fit takes.
const MOST_STEPS: usize = 300;
/// The promise of a full step, gᵀ M⁻¹ g, below which nothing is left to gain.
const DONE: f64 = 1e-18;
/// Damping beyond which no step leads up any more: rounding is all that is left.
const MOST_DAMPING: f64 = 1e12;
/// No parameter of a sensible fit wanders further from its start, in its own unit of steepness.
const FURTHEST: f64 = 1e6;

/// The top of the surface, and how it falls off around it.
#[derive(Debug, Clone)]
pub(super) struct Top {
    pub at: DVector<f64>,
    pub value: f64,
    /// M⁻¹, M the negative Hessian: the covariance by Laplace's approximation.
    pub covariance: DMatrix<f64>,
    /// Newton steps taken.
    pub steps: usize,
}

/// There is no top: the surface rises without end, or is flat along some direction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct NoTop;

/// Climbs from `start` on the surface `surface`.
pub(super) fn climb(start: DVector<f64>, surface: impl Fn(&DVector<f64>) -> Curvature) -> Result<Top, NoTop> {
    let mut at = start;
    let mut here = surface(&at);
    let mut damping = 0.0;
    for steps in 0..MOST_STEPS {
        let Some((step, promise)) = step(&here, damping) else {
            damping = raised(damping);
            if damping > MOST_DAMPING {
                return Err(NoTop);
            }
            continue;
        };
        if damping == 0.0 && promise < DONE {
            return top(at, &here, steps);
        }
        let next_at = &at + &step;
        let next = surface(&next_at);
        // Rounding may take a little from the last steps.
        let rises = next.value >= here.value - 1e-13 * here.value.abs().max(1.0);
        if next.value.is_finite() && rises && next_at.amax() < FURTHEST {
            (at, here) = (next_at, next);
            damping = if damping > 1e-6 { damping / 10.0 } else { 0.0 };
        } else {
            damping = raised(damping);
            if damping > MOST_DAMPING {
                return top(at, &here, steps);
            }
        }
    }
    top(at, &here, MOST_STEPS)
}

fn raised(damping: f64) -> f64 {
    (damping * 10.0).max(1e-3)
}

/// (M + damping · diagonal)⁻¹ g and what it promises to gain; `None` where that matrix is not positive definite.
fn step(here: &Curvature, damping: f64) -> Option<(DVector<f64>, f64)> {
    let mut matrix = -&here.hessian;
    for i in 0..matrix.nrows() {
        matrix[(i, i)] += damping * matrix[(i, i)].abs().max(1e-9);
    }
    let step = positive(matrix)?.solve(&here.gradient);
    let promise = step.dot(&here.gradient);
    promise.is_finite().then_some((step, promise))
}

/// The Cholesky factor of a positive definite matrix, scaled first so that units do not matter.
fn positive(matrix: DMatrix<f64>) -> Option<Scaled> {
    let scale = matrix.diagonal().map(|d| if d > 0.0 { 1.0 / d.sqrt() } else { f64::NAN });
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let mut scaled = matrix;
    for i in 0..scaled.nrows() {
        for j in 0..scaled.ncols() {
            scaled[(i, j)] *= scale[i] * scale[j];
        }
    }
    let factor = Cholesky::new(scaled)?;
    // A direction that is flat to rounding is not identified.
    let least = factor.l_dirty().diagonal().iter().fold(f64::INFINITY, |least, d| least.min(*d));
    (least > 1e-6).then_some(Scaled { factor, scale })
}

struct Scaled {
    factor: Cholesky<f64, Dyn>,
    scale: DVector<f64>,
}

impl Scaled {
    fn solve(&self, right: &DVector<f64>) -> DVector<f64> {
        self.factor.solve(&right.component_mul(&self.scale)).component_mul(&self.scale)
    }

    fn inverse(&self) -> DMatrix<f64> {
        let mut inverse = self.factor.inverse();
        for i in 0..inverse.nrows() {
            for j in 0..inverse.ncols() {
                inverse[(i, j)] *= self.scale[i] * self.scale[j];
            }
        }
        inverse
    }
}

/// The point reached, if the surface falls off on every side of it and is level there.
fn top(at: DVector<f64>, here: &Curvature, steps: usize) -> Result<Top, NoTop> {
    let factor = positive(-&here.hessian).ok_or(NoTop)?;
    let promise = factor.solve(&here.gradient).dot(&here.gradient);
    if promise > 1e-9 {
        return Err(NoTop);
    }
    Ok(Top { at, value: here.value, covariance: factor.inverse(), steps })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// −(x² + 100 (y − x²)²) turned round: the banana of Rosenbrock (1960), whose top is at (1, 1).
    fn banana(at: &DVector<f64>) -> Curvature {
        let (x, y) = (at[0], at[1]);
        let off = y - x * x;
        Curvature {
            value: -((1.0 - x).powi(2) + 100.0 * off * off),
            gradient: DVector::from_vec(vec![2.0 * (1.0 - x) + 400.0 * x * off, -200.0 * off]),
            hessian: DMatrix::from_row_slice(2, 2, &[-2.0 + 400.0 * off - 800.0 * x * x, 400.0 * x, 400.0 * x, -200.0]),
        }
    }

    #[test]
    fn it_finds_the_top_of_a_bent_ridge() {
        let top = climb(DVector::from_vec(vec![-1.2, 1.0]), banana).unwrap();
        assert!((top.at[0] - 1.0).abs() < 1e-9 && (top.at[1] - 1.0).abs() < 1e-9, "{:?}", top.at);
        assert!(top.steps < 60, "{}", top.steps);
        // The inverse of the Hessian at the top, [[802, −400], [−400, 200]].
        assert!((top.covariance[(0, 0)] - 0.5).abs() < 1e-6 && (top.covariance[(1, 1)] - 2.005).abs() < 1e-6);
    }

    #[test]
    fn a_surface_without_a_top_is_told() {
        let ramp = |at: &DVector<f64>| Curvature {
            value: at[0],
            gradient: DVector::from_vec(vec![1.0]),
            hessian: DMatrix::from_vec(1, 1, vec![0.0]),
        };
        assert_eq!(climb(DVector::from_vec(vec![0.0]), ramp).unwrap_err(), NoTop);
        let flat = |_: &DVector<f64>| Curvature::zero(2);
        assert!(climb(DVector::from_vec(vec![0.0, 0.0]), flat).is_err());
    }
}

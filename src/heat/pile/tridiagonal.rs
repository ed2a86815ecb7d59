//! A tridiagonal system, factorised once and solved for several right-hand sides (Thomas' algorithm).

/// The factors of a tridiagonal matrix.
#[derive(Debug, Clone, Default)]
pub(super) struct Tridiagonal {
    lower: Vec<f64>,
    /// The upper diagonal over the pivot.
    upper: Vec<f64>,
    /// One over the pivot.
    pivot: Vec<f64>,
}

impl Tridiagonal {
    /// Makes room for `size` rows.
    pub fn resize(&mut self, size: usize) {
        self.lower.resize(size, 0.0);
        self.upper.resize(size, 0.0);
        self.pivot.resize(size, 0.0);
    }

    /// Sets row `i` and eliminates what stands left of its diagonal; rows are set from the first to the last. The first
    /// row has no `lower`, the last no `upper`: they are 0. `false` where the pivot is not above 0: such a step is too
    /// long.
    #[inline]
    pub fn set(&mut self, i: usize, lower: f64, diagonal: f64, upper: f64) -> bool {
        let pivot = diagonal - if i > 0 { lower * self.upper[i - 1] } else { 0.0 };
        self.lower[i] = lower;
        self.pivot[i] = 1.0 / pivot;
        self.upper[i] = upper * self.pivot[i];
        pivot > 0.0
    }

    /// Solves for `x`, which holds the right-hand side and then the answer.
    pub fn solve(&self, x: &mut [f64]) {
        let mut before = 0.0;
        for ((x, lower), pivot) in x.iter_mut().zip(&self.lower).zip(&self.pivot) {
            before = (*x - lower * before) * pivot;
            *x = before;
        }
        let mut after = 0.0;
        for (x, upper) in x.iter_mut().zip(&self.upper).rev() {
            *x -= upper * after;
            after = *x;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_solves_what_it_was_given() {
        let rows = [(0.0, 4.0, -1.0), (-1.0, 5.0, -2.0), (-0.5, 3.0, -1.5), (-2.0, 6.0, 0.0)];
        let x = [1.0, -2.0, 3.5, 0.25];
        let mut matrix = Tridiagonal::default();
        matrix.resize(4);
        let mut rhs = Vec::new();
        for (i, (lower, diagonal, upper)) in rows.into_iter().enumerate() {
            assert!(matrix.set(i, lower, diagonal, upper));
            let left = if i > 0 { lower * x[i - 1] } else { 0.0 };
            let right = if i < 3 { upper * x[i + 1] } else { 0.0 };
            rhs.push(left + diagonal * x[i] + right);
        }
        matrix.solve(&mut rhs);
        for (got, want) in rhs.iter().zip(x) {
            assert!((got - want).abs() < 1e-14);
        }
        assert!(!matrix.set(1, -4.0, 0.5, 0.0), "a pivot below 0 is told");
    }
}

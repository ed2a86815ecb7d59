//! Levels as rows: even, except that no layer is so thin that it gets no row while there are rows enough.

use std::ops::Range;

/// Millimetres against rows, both from the floor up.
#[derive(Debug, Clone)]
pub(super) struct Scale {
    /// Level and row, rising, from (0, 0).
    knots: Vec<(f64, f64)>,
    ends: Vec<usize>,
    rows: usize,
}

impl Scale {
    /// A scale of `rows` rows for a vessel `height_mm` tall, whose layers end at `ends_mm`, rising.
    pub fn new(ends_mm: &[f64], height_mm: f64, rows: usize) -> Self {
        let height_mm = if height_mm > 0.0 { height_mm } else { 1.0 };
        let even = |level_mm: f64| cells(((level_mm / height_mm).clamp(0.0, 1.0) * rows as f64).round());
        let free = usize::from(ends_mm.last().is_some_and(|last| *last < height_mm));
        let ends: Vec<usize> = if ends_mm.len() + free > rows {
            ends_mm.iter().map(|level_mm| even(*level_mm)).collect()
        } else {
            let above = |i: usize| ends_mm.len() - 1 - i + free;
            let mut below = 0;
            let mut row = |(i, level_mm): (usize, &f64)| {
                below = even(*level_mm).max(below + 1).min(rows - above(i));
                below
            };
            ends_mm.iter().enumerate().map(&mut row).collect()
        };
        let mut knots = vec![(0.0, 0.0)];
        let layers = ends_mm.iter().zip(&ends).map(|(level_mm, row)| (*level_mm, *row as f64));
        for (level_mm, row) in layers.chain([(height_mm, rows as f64)]) {
            if knots.last().is_none_or(|last| level_mm > last.0 && row > last.1) {
                knots.push((level_mm, row));
            }
        }
        Self { knots, ends, rows }
    }

    pub fn rows(&self) -> usize {
        self.rows
    }

    /// The rows of layer `i`, counted from the floor; none where there are fewer rows than layers.
    pub fn layer(&self, i: usize) -> Range<usize> {
        let from = i.checked_sub(1).map_or(0, |below| self.ends[below]);
        from..self.ends[i]
    }

    /// The row at which `level_mm` lies.
    pub fn row_at(&self, level_mm: f64) -> f64 {
        between(&self.knots, level_mm, |knot| knot)
    }

    /// The level at `row`.
    pub fn level_mm(&self, row: f64) -> f64 {
        between(&self.knots, row, |(level_mm, row)| (row, level_mm))
    }
}

/// Whole cells of a screen, none where `count` is below 0.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked to be no less than 0")]
pub(super) fn cells(count: f64) -> usize {
    count.max(0.0) as usize
}

/// The second of what `turned` makes of the knots, at `x` of the first; held at both ends.
fn between(knots: &[(f64, f64)], x: f64, turned: impl Fn((f64, f64)) -> (f64, f64)) -> f64 {
    let mut last = (0.0, 0.0);
    for knot in knots.iter().map(|knot| turned(*knot)) {
        if x <= knot.0 {
            let span = knot.0 - last.0;
            let share = if span > 0.0 { ((x - last.0) / span).max(0.0) } else { 1.0 };
            return last.1 + share * (knot.1 - last.1);
        }
        last = knot;
    }
    last.1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn even_layers_get_even_rows_and_a_thin_one_its_row() {
        let rows = |ends: &[f64]| {
            let scale = Scale::new(ends, 40.0, 20);
            (0..ends.len()).map(|i| scale.layer(i)).collect::<Vec<_>>()
        };
        assert_eq!(rows(&[10.0, 20.0, 30.0]), [0..5, 5..10, 10..15]);
        assert_eq!(rows(&[10.0, 10.4, 20.0]), [0..5, 5..6, 6..10]);
        assert_eq!(rows(&[39.0, 39.4, 40.0]), [0..18, 18..19, 19..20]);
    }

    #[test]
    fn levels_lie_in_the_rows_of_their_layer() {
        let scale = Scale::new(&[10.0, 10.4, 20.0], 40.0, 20);
        assert!((scale.row_at(10.2) - 5.5).abs() < 1e-9 && (scale.level_mm(5.5) - 10.2).abs() < 1e-9);
        assert!((scale.row_at(40.0) - 20.0).abs() < 1e-9 && scale.row_at(99.0) <= 20.0);
    }

    proptest! {
        #[test]
        fn every_layer_has_a_row_where_there_are_enough(
            depths in prop::collection::vec(0.1f64..30.0, 1..12),
            free_mm in 0.0f64..20.0,
            rows in 1usize..30,
        ) {
            let ends: Vec<f64> = depths.iter().scan(0.0, |level, depth| { *level += depth; Some(*level) }).collect();
            let height_mm = ends[ends.len() - 1] + free_mm;
            let scale = Scale::new(&ends, height_mm, rows);
            for (i, end) in ends.iter().enumerate() {
                let layer = scale.layer(i);
                prop_assert!(layer.end <= rows && layer.start <= layer.end);
                if ends.len() < rows {
                    prop_assert!(!layer.is_empty());
                    prop_assert!((scale.row_at(*end) - layer.end as f64).abs() < 1e-6);
                    prop_assert!((scale.level_mm(scale.row_at(*end)) - end).abs() < 1e-6);
                }
            }
        }
    }
}

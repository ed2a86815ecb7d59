//! A measured, rising table, read between its points without overshooting.

use crate::root::rising_root;

/// Into so many slices a span is cut for an integral; even.
const SLICES: u32 = 64;

/// A strictly rising curve through measured points, from (0, 0).
///
/// A cubic Hermite curve whose slopes keep it rising: F. N. Fritsch and R. E. Carlson, "Monotone piecewise cubic
/// interpolation", SIAM J. Numer. Anal. 17 (1980) 238; the slope at an inner point is the weighted harmonic mean of those
/// to its neighbours, F. N. Fritsch and J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300. It goes through its points
/// exactly, and is straight where they lie on a straight line.
#[derive(Debug, Clone, PartialEq)]
pub struct Monotone {
    xs: Vec<f64>,
    ys: Vec<f64>,
    slopes: Vec<f64>,
}

/// The first point (counted from 0) that does not rise in both columns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("point {} does not rise above the one before it", .0 + 1)]
pub struct NotRising(pub usize);

impl Monotone {
    /// Through (0, 0) and `points`, which must be finite and rise in both columns; at least one.
    pub fn through(points: &[(f64, f64)]) -> Result<Self, NotRising> {
        let mut before = (0.0, 0.0);
        for (place, &(x, y)) in points.iter().enumerate() {
            // A rise so steep or so flat that it leaves the range of a double is none either.
            let rises = x > before.0 && y > before.1 && ((y - before.1) / (x - before.0)).is_normal();
            if !rises {
                return Err(NotRising(place));
            }
            before = (x, y);
        }
        if points.is_empty() {
            return Err(NotRising(0));
        }
        Ok(Self::rising(points.iter().copied()))
    }

    /// Through (0, 0) and `points`, known to rise.
    pub(super) fn rising(points: impl Iterator<Item = (f64, f64)>) -> Self {
        let (xs, ys): (Vec<f64>, Vec<f64>) = std::iter::once((0.0, 0.0)).chain(points).unzip();
        let slopes = slopes(&xs, &ys);
        Self { xs, ys, slopes }
    }

    /// The points it goes through, without the origin.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> {
        self.xs.iter().copied().zip(self.ys.iter().copied()).skip(1)
    }

    /// The last x.
    pub fn end(&self) -> f64 {
        self.xs[self.xs.len() - 1]
    }

    /// y at `x`, held at both ends.
    pub fn at(&self, x: f64) -> f64 {
        let x = x.clamp(0.0, self.end());
        self.span_of(&self.xs, x).at(x)
    }

    /// dy/dx at `x`.
    pub fn slope_at(&self, x: f64) -> f64 {
        let x = x.clamp(0.0, self.end());
        self.span_of(&self.xs, x).slope_at(x)
    }

    /// The integral from 0 to `x`, held at both ends, of `f` of dy/dx and d²y/dx², which may jump at the points.
    ///
    /// Simpson's rule over [`SLICES`] slices of each span: exact where `f` is a cubic of x in each span.
    pub(super) fn integral(&self, x: f64, f: impl Fn(f64, f64) -> f64) -> f64 {
        let begun = self.xs[1..].partition_point(|&to| to < x);
        (0..=begun.min(self.xs.len() - 2))
            .map(|place| {
                let span = self.span(place);
                span.simpson(x.clamp(span.from.0, span.to.0), &f)
            })
            .sum()
    }

    /// x where the curve reaches `y`, held at both ends.
    pub fn x_of(&self, y: f64) -> f64 {
        let y = y.clamp(0.0, self.ys[self.ys.len() - 1]);
        let span = self.span_of(&self.ys, y);
        rising_root(span.from.0, span.to.0, 0.0, |x| span.at(x) - y)
    }

    /// The span in which `value` lies in `column`, one of the two; at a point the one that begins there.
    fn span_of(&self, column: &[f64], value: f64) -> Span {
        self.span(column.partition_point(|&v| v <= value).clamp(1, column.len() - 1) - 1)
    }

    /// The span that begins at point `place`, the origin being 0.
    fn span(&self, place: usize) -> Span {
        let knot = |i: usize| (self.xs[i], self.ys[i]);
        Span { from: knot(place), to: knot(place + 1), slopes: [self.slopes[place], self.slopes[place + 1]] }
    }
}

/// The curve between two neighbouring points.
struct Span {
    from: (f64, f64),
    to: (f64, f64),
    slopes: [f64; 2],
}

impl Span {
    fn chord(&self) -> f64 {
        chord(self.from, self.to)
    }

    /// The second and the third coefficient over the share of the way.
    fn bends(&self) -> (f64, f64) {
        let ([first, last], chord) = (self.slopes, self.chord());
        (3.0 * chord - 2.0 * first - last, first + last - 2.0 * chord)
    }

    fn at(&self, x: f64) -> f64 {
        if x >= self.to.0 {
            return self.to.1;
        }
        let along = x - self.from.0;
        let share = along / (self.to.0 - self.from.0);
        let (second, third) = self.bends();
        let y = self.from.1 + along * (self.slopes[0] + share * (second + share * third));
        // Rounding must not carry it past a point.
        y.clamp(self.from.1, self.to.1)
    }

    fn slope_at(&self, x: f64) -> f64 {
        let share = (x - self.from.0) / (self.to.0 - self.from.0);
        let (second, third) = self.bends();
        (self.slopes[0] + share * (2.0 * second + share * 3.0 * third)).max(0.0)
    }

    fn bend_at(&self, x: f64) -> f64 {
        let width = self.to.0 - self.from.0;
        let (second, third) = self.bends();
        (2.0 * second + (x - self.from.0) / width * 6.0 * third) / width
    }

    /// The integral of `f` of slope and bend, from the span's beginning to `x`.
    fn simpson(&self, x: f64, f: &impl Fn(f64, f64) -> f64) -> f64 {
        let slice = (x - self.from.0) / f64::from(SLICES);
        let weighed = |i: u32| {
            let at = self.from.0 + f64::from(i) * slice;
            let weight = if i == 0 || i == SLICES { 1.0 } else { f64::from(2 + 2 * (i % 2)) };
            weight * f(self.slope_at(at), self.bend_at(at))
        };
        (0..=SLICES).map(weighed).sum::<f64>() * slice / 3.0
    }
}

fn chord(from: (f64, f64), to: (f64, f64)) -> f64 {
    (to.1 - from.1) / (to.0 - from.0)
}

fn slopes(xs: &[f64], ys: &[f64]) -> Vec<f64> {
    // Width and slope from each point to the next.
    let chords: Vec<(f64, f64)> =
        xs.windows(2).zip(ys.windows(2)).map(|(x, y)| (x[1] - x[0], chord((x[0], y[0]), (x[1], y[1])))).collect();
    let last = chords.len() - 1;
    let inner = chords.windows(2).map(|pair| inner_slope(pair[0], pair[1]));
    let first = end_slope(chords[0], chords.get(1).copied());
    let end = end_slope(chords[last], last.checked_sub(1).map(|i| chords[i]));
    std::iter::once(first).chain(inner).chain([end]).collect()
}

/// Never more than three times either neighbour, which is what keeps the cubic rising.
fn inner_slope((width_before, before): (f64, f64), (width_after, after): (f64, f64)) -> f64 {
    let weight = (width_before + 2.0 * width_after) / (3.0 * (width_before + width_after));
    1.0 / (weight / before + (1.0 - weight) / after)
}

/// The slope at an end of the parabola through the three points there, not below 0. It is less than twice the chord.
fn end_slope((width, chord): (f64, f64), next: Option<(f64, f64)>) -> f64 {
    let Some((next_width, next_chord)) = next else { return chord };
    (chord + (chord - next_chord) * (width / (width + next_width))).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// Points that rise by steps of very different sizes.
    fn any_points() -> impl Strategy<Value = Vec<(f64, f64)>> {
        prop::collection::vec((-3.0f64..2.0, -3.0f64..3.0), 1..20).prop_map(|steps| {
            let mut at = (0.0, 0.0);
            steps
                .into_iter()
                .map(|(x, y)| {
                    at = (at.0 + 10f64.powf(x), at.1 + 10f64.powf(y));
                    at
                })
                .collect()
        })
    }

    #[test]
    fn what_does_not_rise_is_refused_with_its_place() {
        let refused = |points: &[(f64, f64)]| Monotone::through(points).unwrap_err();
        assert_eq!(refused(&[]), NotRising(0));
        assert_eq!(refused(&[(0.0, 5.0)]), NotRising(0), "the origin is a point already");
        assert_eq!(refused(&[(1.0, 5.0), (2.0, 5.0)]), NotRising(1));
        assert_eq!(refused(&[(1.0, 5.0), (1.0, 6.0)]), NotRising(1));
        for odd in [f64::NAN, f64::INFINITY] {
            assert_eq!(refused(&[(1.0, 5.0), (2.0, odd)]), NotRising(1));
            assert_eq!(refused(&[(1.0, 5.0), (odd, 6.0)]), NotRising(1));
        }
        assert_eq!(refused(&[(1e-200, 1e200)]), NotRising(0), "steeper than a double can say");
        assert_eq!(NotRising(1).to_string(), "point 2 does not rise above the one before it");
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "knots are reproduced exactly")]
    fn both_ends_are_held() {
        let curve = Monotone::through(&[(10.0, 40.0), (30.0, 90.0)]).unwrap();
        assert_eq!((curve.at(-5.0), curve.at(99.0)), (0.0, 90.0));
        assert_eq!((curve.x_of(-5.0), curve.x_of(99.0)), (0.0, 30.0));
        assert_eq!(curve.end(), 30.0);
        assert_eq!(curve.points().collect::<Vec<_>>(), [(10.0, 40.0), (30.0, 90.0)]);
    }

    #[test]
    fn a_smooth_curve_is_met_between_its_points() {
        // y = x² at whole x: the error of a cubic with slopes of second order shrinks with the third power of the width.
        let curve = Monotone::through(&(1..=20).map(|i| (f64::from(i), f64::from(i * i))).collect::<Vec<_>>()).unwrap();
        for i in 3..19 {
            let x = f64::from(i) + 0.5;
            assert!((curve.at(x) - x * x).abs() < 0.02, "{x}: {}", curve.at(x));
        }
    }

    #[test]
    fn integrals_of_the_slope_give_the_curve_and_of_the_bend_the_slope() {
        let curve = Monotone::through(&[(1.0, 2.0), (4.0, 5.0), (5.0, 20.0)]).unwrap();
        for x in [0.0, 0.5, 1.0, 3.3, 5.0, 9.0] {
            assert!((curve.integral(x, |slope, _| slope) - curve.at(x)).abs() < 1e-12, "{x}");
            let bent = curve.integral(x, |_, bend| bend);
            assert!((bent - (curve.slope_at(x) - curve.slope_at(0.0))).abs() < 1e-12, "{x}");
        }
    }

    proptest! {
        #[test]
        #[expect(clippy::float_cmp, reason = "knots are reproduced exactly")]
        fn it_goes_through_its_points_and_rises_between_them(points in any_points()) {
            let curve = Monotone::through(&points).unwrap();
            let mut before = (0.0, 0.0);
            for &(x, y) in &points {
                prop_assert_eq!(curve.at(x), y);
                prop_assert!((curve.x_of(y) - x).abs() <= 1e-12 * x);
                let inside: Vec<f64> = (1..20).map(|i| before.0 + (x - before.0) * f64::from(i) / 20.0).collect();
                let mut last = before.1;
                for at in inside {
                    let here = curve.at(at);
                    prop_assert!(here > last && here < y, "{at}: {last} {here} {y}");
                    prop_assert!(curve.slope_at(at) > 0.0);
                    last = here;
                }
                before = (x, y);
            }
        }

        #[test]
        fn straight_lines_stay_straight(points in any_points(), slope in 0.001f64..1000.0, share in 0.0f64..1.0) {
            let straight: Vec<_> = points.iter().map(|&(x, _)| (x, x * slope)).collect();
            let curve = Monotone::through(&straight).unwrap();
            let x = share * curve.end();
            // Points close together do not lie on the line exactly: their rounding tips the slope between them.
            let closest = curve.xs.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
            let slack = 1e-14 * curve.end() / closest;
            prop_assert!((curve.at(x) - x * slope).abs() <= slack * curve.end() * slope);
            prop_assert!((curve.slope_at(x) / slope - 1.0).abs() <= slack);
        }

        #[test]
        fn x_of_undoes_at(points in any_points(), share in 1e-6f64..1.0) {
            let curve = Monotone::through(&points).unwrap();
            let x = share * curve.end();
            let y = curve.at(x);
            // What a rounding of y is worth in x.
            let slack = 1e-14 * y / curve.slope_at(x).max(1e-300);
            prop_assert!((curve.x_of(y) - x).abs() <= 1e-9 * x + slack, "{x} {}", curve.x_of(y));
        }

        #[test]
        fn slopes_are_those_of_the_curve(points in any_points(), place in 0usize..20, share in 0.01f64..0.99) {
            let curve = Monotone::through(&points).unwrap();
            let to = place % points.len();
            let from = to.checked_sub(1).map_or(0.0, |i| points[i].0);
            let width = points[to].0 - from;
            let (x, step) = (from + share * width, 1e-3 * width);
            let by_difference = (curve.at(x + step) - curve.at(x - step)) / (2.0 * step);
            let chord = (curve.at(points[to].0) - curve.at(from)) / width;
            prop_assert!((curve.slope_at(x) - by_difference).abs() <= 1e-4 * chord + 1e-9 * curve.at(x) / width);
        }
    }
}

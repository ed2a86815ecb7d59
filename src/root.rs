//! Where a rising function passes zero, and how far something holds.

/// Bisections alone would be through after this many; interpolation needs about ten.
const MOST_STEPS: usize = 200;

/// The place between `low` and `high` where the rising `f` passes zero, to `tolerance` or to what a double can tell
/// apart; the nearer end where it does not pass zero between them.
///
/// Inverse quadratic interpolation where it can be trusted, else halving: T. R. Chandrupatla, "A new hybrid
/// quadratic/bisection algorithm for finding the zero of a nonlinear function without using derivatives", Advances in
/// Engineering Software 28 (1997) 145. The zero stays between two tried places all the time.
pub(crate) fn rising_root(low: f64, high: f64, tolerance: f64, f: impl Fn(f64) -> f64) -> f64 {
    let (mut near, mut far) = ((low, f(low)), (high, f(high)));
    if near.1 >= 0.0 {
        return low;
    }
    if far.1 <= 0.0 {
        return high;
    }
    let mut share = 0.5;
    for _ in 0..MOST_STEPS {
        let x = near.0 + share * (far.0 - near.0);
        let here = (x, f(x));
        let dropped;
        if (here.1 > 0.0) == (near.1 > 0.0) {
            dropped = near;
        } else {
            dropped = far;
            far = near;
        }
        near = here;
        let best = if near.1.abs() < far.1.abs() { near } else { far };
        let least = (tolerance + 2.0 * f64::EPSILON * best.0.abs()) / (far.0 - near.0).abs();
        if best.1 == 0.0 || least > 0.5 {
            return best.0;
        }
        share = interpolated(near, far, dropped).clamp(least, 1.0 - least);
    }
    near.0
}

/// The share of the way from `near` to `far` to try next.
fn interpolated(near: (f64, f64), far: (f64, f64), dropped: (f64, f64)) -> f64 {
    let place = (near.0 - far.0) / (dropped.0 - far.0);
    let value = (near.1 - far.1) / (dropped.1 - far.1);
    if value * value >= place || (1.0 - value) * (1.0 - value) >= 1.0 - place {
        return 0.5;
    }
    near.1 / (far.1 - near.1) * dropped.1 / (far.1 - dropped.1)
        + (dropped.0 - near.0) / (far.0 - near.0) * near.1 / (dropped.1 - near.1) * far.1 / (dropped.1 - far.1)
}

/// Of the whole steps between `from` and `to` the one furthest from `from` up to which `good` gives something, and whether
/// that is `to` itself; `None` where even `from` gives nothing. What is good has to lie together, beginning at `from`.
pub(crate) fn furthest<T>(from: f64, to: f64, good: impl Fn(f64) -> Option<T>) -> Option<(T, bool)> {
    if let Some(last) = good(to) {
        return Some((last, true));
    }
    let mut found = good(from)?;
    let (mut inside, mut outside) = (from, to);
    while (outside - inside).abs() > 1.0 {
        let middle = f64::midpoint(inside, outside).round();
        match good(middle) {
            Some(here) => (inside, found) = (middle, here),
            None => outside = middle,
        }
    }
    Some((found, false))
}

/// Brings two whole steps with their values together where a rising function passes zero between them: until they are
/// neighbours, or the value of the lower one is not further under zero than `close`. The value of the lower one is never above
/// zero. By the secant, aimed a little low, and by halves where that moves the same end twice.
pub(crate) fn narrowed(ends: [(f64, f64); 2], close: f64, f: impl Fn(f64) -> f64) -> [(f64, f64); 2] {
    let [mut low, mut high] = ends;
    let mut moved_low = None;
    let mut halve = false;
    while high.0 - low.0 > 1.0 && low.1 < -close {
        let secant = (-low.1 - close / 2.0) / (high.1 - low.1);
        let share = if halve || !secant.is_finite() { 0.5 } else { secant };
        let step = (low.0 + share * (high.0 - low.0)).round().clamp(low.0 + 1.0, high.0 - 1.0);
        let here = (step, f(step));
        let moves_low = here.1 <= 0.0;
        *(if moves_low { &mut low } else { &mut high }) = here;
        halve = moved_low == Some(moves_low) && !halve;
        moved_low = Some(moves_low);
    }
    [low, high]
}

#[cfg(test)]
mod tests {
    use super::{furthest, narrowed, rising_root};
    use std::cell::Cell;

    #[test]
    fn smooth_functions_take_about_ten_steps() {
        let asked = Cell::new(0);
        let root = rising_root(0.0, 3.0, 0.0, |x| {
            asked.set(asked.get() + 1);
            x * x * x - 2.0
        });
        assert!((root - 2f64.cbrt()).abs() <= 1e-15, "{root}");
        assert!(asked.get() < 16, "{}", asked.get());
    }

    #[test]
    fn kinks_and_steps_do_not_hold_it_up() {
        let kink = |x: f64| if x < 0.3 { 1e-6 * (x - 0.3) } else { 1e6 * (x - 0.3) };
        assert!((rising_root(0.0, 1.0, 0.0, kink) - 0.3).abs() < 1e-15);
        let step = |x: f64| if x < 0.7 { -1.0 } else { 1.0 };
        assert!((rising_root(0.0, 1.0, 0.0, step) - 0.7).abs() < 1e-15);
    }

    #[test]
    fn a_tiny_zero_is_found_in_proportion() {
        let root = rising_root(0.0, 1000.0, 0.0, |x| x - 1e-12);
        assert!((root / 1e-12 - 1.0).abs() < 1e-12, "{root}");
    }

    #[test]
    #[expect(clippy::float_cmp, reason = "an end is returned as it was given")]
    fn without_a_zero_between_them_the_nearer_end_is_it() {
        assert_eq!(rising_root(1.0, 2.0, 0.0, |x| x), 1.0);
        assert_eq!(rising_root(1.0, 2.0, 0.0, |x| x - 5.0), 2.0);
    }

    #[test]
    fn the_furthest_step_is_found_either_way() {
        let up_to = |most: f64| move |step: f64| (step <= most).then_some(step);
        assert_eq!(furthest(3.0, 200.0, up_to(77.0)), Some((77.0, false)));
        assert_eq!(furthest(3.0, 200.0, up_to(200.0)), Some((200.0, true)));
        assert_eq!(furthest(3.0, 200.0, up_to(2.0)), None);
        assert_eq!(furthest(200.0, 3.0, |step| (step >= 50.0).then_some(step)), Some((50.0, false)));
        assert_eq!(furthest(5.0, 5.0, up_to(5.0)), Some((5.0, true)));
    }

    #[test]
    fn whole_steps_are_narrowed_to_the_last_under_zero() {
        let shapes: [fn(f64) -> f64; 5] = [
            |step| (step - 120.3) * 0.4,
            |step| 30.0 * (step / 71.0).ln(),
            |step| ((step - 180.0) / 30.0).exp() - 1.0,
            |step| if step < 97.5 { -20.0 } else { 40.0 },
            |step| if step < 130.0 { f64::NEG_INFINITY } else { step - 150.0 },
        ];
        for f in shapes {
            let tries = Cell::new(0);
            let counted = |step| {
                tries.set(tries.get() + 1);
                f(step)
            };
            let [low, high] = narrowed([(50.0, f(50.0)), (200.0, f(200.0))], 0.5, counted);
            assert!(low.1 <= 0.0 && high.1 > 0.0, "{low:?} {high:?}");
            assert!(low.1 > -0.5 || (high.0 - low.0 - 1.0).abs() < 1e-9, "{low:?} {high:?}");
            assert!(tries.get() < 12, "{low:?} after {}", tries.get());
        }
        let near = [(50.0, -0.2), (200.0, 9.0)];
        assert!(narrowed(near, 0.5, |_| panic!("it is near enough")) == near);
    }
}

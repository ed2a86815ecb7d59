//! Figures as they are printed: enough places for the scales, and no more.

/// More places than this no scale at a bench shows.
const MOST_PLACES: usize = 4;

/// Digits that have to be left of the smallest figure.
const SIGNIFICANT: i32 = 2;

/// Decimal places that a scale with this last digit shows, and at least `least`.
pub(super) fn places_of_scale(digit: f64, least: usize) -> usize {
    (0..MOST_PLACES).find(|places| is_whole(digit, *places)).unwrap_or(MOST_PLACES).max(least)
}

/// Decimal places in which each of `values` keeps two digits: at least `least`, at most four.
pub(super) fn places(values: impl Iterator<Item = f64>, least: usize) -> usize {
    let smallest = values.map(f64::abs).filter(|value| *value > 0.0).fold(1.0, f64::min);
    let enough = |places: &usize| smallest * ten_to(*places) >= ten_to(1) / 10f64.powi(2 - SIGNIFICANT);
    (least..MOST_PLACES).find(enough).unwrap_or(MOST_PLACES.max(least))
}

/// `value` with at most `most` decimal places, without the noughts at its end.
pub(super) fn short(value: f64, most: usize) -> String {
    let text = fixed(value, most);
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// `value` with `places` decimal places; never "-0".
pub(super) fn fixed(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        _ => text,
    }
}

fn is_whole(digit: f64, places: usize) -> bool {
    let scaled = digit * ten_to(places);
    scaled >= 0.5 && (scaled - scaled.round()).abs() < 1e-6
}

fn ten_to(places: usize) -> f64 {
    10f64.powi(i32::try_from(places).unwrap_or(i32::MAX))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_scale_shows_its_own_places() {
        assert_eq!(
            [5.0, 1.0, 0.5, 0.1, 0.05, 0.01, 0.001].map(|digit| places_of_scale(digit, 0)),
            [0, 0, 1, 1, 2, 2, 3]
        );
        assert_eq!(places_of_scale(1.0, 1), 1);
        assert_eq!(places_of_scale(1e-9, 0), MOST_PLACES);
    }

    #[test]
    fn the_smallest_figure_keeps_two_digits() {
        assert_eq!(places([120.0, 3.0].into_iter(), 1), 1);
        assert_eq!(places([1.2, 0.062].into_iter(), 2), 3);
        assert_eq!(places([0.0, 0.000_01].into_iter(), 2), MOST_PLACES);
        assert_eq!(places([].into_iter(), 2), 2);
    }

    #[test]
    fn figures_are_printed_as_people_write_them() {
        assert_eq!(short(1.50, 3), "1.5");
        assert_eq!(short(100.0, 1), "100");
        assert_eq!(fixed(-0.001, 1), "0.0");
        assert_eq!(fixed(-0.26, 1), "-0.3");
    }
}

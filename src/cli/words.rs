//! Figures in words.
//!
//! [`duration`] is for figures: it rounds, and below an hour it keeps the seconds a profile gives. What a clock has left or
//! behind it is `bench::span_words`, which never rounds up to a time that has not come.

use crate::units::Hours;

/// A length of time with its two largest units: "18 min", "6 h 30 min", "3 d". Rounded to the second below an hour,
/// to the minute below two days, to the hour above.
pub fn duration(hours: Hours) -> String {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "Hours is 0 to 1e7")]
    let seconds = hours.seconds().round() as u64;
    let step = match seconds {
        0..3600 => 1,
        3600..172_800 => 60,
        _ => 3600,
    };
    let seconds = (seconds + step / 2) / step * step;
    let (units, large, small): ([&str; 2], u64, u64) = match seconds {
        0..3600 => (["min", "s"], seconds / 60, seconds % 60),
        3600..172_800 => (["h", "min"], seconds / 3600, seconds % 3600 / 60),
        _ => (["d", "h"], seconds / 86_400, seconds % 86_400 / 3600),
    };
    match (large, small) {
        (large, 0) => format!("{large} {}", units[0]),
        (0, small) => format!("{small} {}", units[1]),
        _ => format!("{large} {} {small} {}", units[0], units[1]),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_are_said_with_two_units() {
        let words = |seconds: f64| duration(Hours::new(seconds / 3600.0).unwrap());
        let said = [0.0, 30.0, 150.0, 1080.0, 3599.6, 23_400.0, 86_400.0, 172_799.0, 259_200.0, 266_000.0];
        let expected = ["0 min", "30 s", "2 min 30 s", "18 min", "1 h", "6 h 30 min", "24 h", "2 d", "3 d", "3 d 2 h"];
        assert_eq!(said.map(words), expected);
    }
}

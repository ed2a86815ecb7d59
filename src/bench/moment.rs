//! Timestamps as hours and back: the models count hours from a batch's start, the notebook keeps instants.

use jiff::{SignedDuration, Timestamp};

/// Beyond this many hours (about eleven years) a forecast is as good as never.
const FAR_FUTURE_H: f64 = 1e5;

/// Hours from `from` to `to`; negative when `to` is earlier.
pub fn hours_between(from: Timestamp, to: Timestamp) -> f64 {
    to.duration_since(from).as_secs_f64() / 3600.0
}

/// The instant `hours` after `from`; `None` when it is further off than any forecast is worth.
pub(super) fn after_hours(from: Timestamp, hours: f64) -> Option<Timestamp> {
    if !hours.is_finite() || hours.abs() > FAR_FUTURE_H {
        return None;
    }
    from.checked_add(SignedDuration::from_secs_f64(hours * 3600.0)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hours_and_back() {
        let start: Timestamp = "2026-03-02T21:40:00Z".parse().unwrap();
        let later = after_hours(start, 1.5).unwrap();
        assert_eq!(later.to_string(), "2026-03-02T23:10:00Z");
        assert!((hours_between(start, later) - 1.5).abs() < 1e-12);
        assert_eq!(after_hours(start, f64::INFINITY), None);
        assert_eq!(after_hours(start, 1e9), None);
    }
}

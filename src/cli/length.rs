//! Lengths of time given as arguments.

use crate::units::Hours;
use crate::when::parse_length;

/// Reads a length above 0, such as 90m or '1h 30m'.
pub(super) fn length(text: &str) -> Result<Hours, String> {
    let hours = parse_length(text).map(|length| length.as_secs_f64() / 3600.0);
    match Hours::new(hours.unwrap_or(f64::NAN)) {
        Ok(hours) if hours > Hours::ZERO => Ok(hours),
        _ => Err("write a length with its unit, such as 90m or '1h 30m'".to_owned()),
    }
}

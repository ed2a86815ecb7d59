//! How well the bench temperature ahead is known.
//!
//! The forecast holds the last reading. What it is worth is stated here, in °C of standard deviation; these three
//! figures are our own working values for an unheated room (common practice, no source), until the room's own past
//! nights can be used.

/// Error of a bench thermometer, °C.
const READING_SD_C: f64 = 0.5;
/// Random walk of an unwatched room, °C per square root of an hour.
const DRIFT_SD_C: f64 = 0.8;
/// What each further hour of silence adds once a source has gone quiet, °C per hour: silence is a fault, not calm.
const SILENCE_SD_C_PER_H: f64 = 0.3;
/// A room does not wander without limit: the spread stops growing here, °C.
const MAX_SD_C: f64 = 6.0;
/// A source is silent when its last reading is older than this, hours.
const SILENT_AFTER_H: f64 = 0.5;
/// Spread when nothing was ever measured and the profile's reference temperature is assumed, °C.
const NO_READING_SD_C: f64 = 4.0;

/// What is known of the temperature from the last reading on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlook {
    /// Up to here, in clock hours, the curve was measured; `None` when nothing was ever measured.
    pub measured_until_h: Option<f64>,
    /// The present, in clock hours.
    pub now_h: f64,
}

impl Outlook {
    /// Hours since the last reading; `None` without any.
    pub fn reading_age_h(&self) -> Option<f64> {
        self.measured_until_h.map(|until| (self.now_h - until).max(0.0))
    }

    /// Whether the last reading is so old that the source counts as silent (or there never was one).
    pub fn is_silent(&self) -> bool {
        self.reading_age_h().is_none_or(|age| age > SILENT_AFTER_H)
    }

    /// Standard deviation, °C, of the mean temperature between the last reading and the clock hour `until_h`.
    ///
    /// The room is taken as a random walk of variance w² per hour; the mean of such a walk over h hours has variance
    /// w² h/3 (a textbook integral of min(s, t)). Reading error and silence are added to it.
    pub fn mean_temperature_sd_c(&self, until_h: f64) -> f64 {
        let Some(measured) = self.measured_until_h else { return NO_READING_SD_C };
        let ahead = (until_h - measured).max(0.0);
        let silence = (self.now_h - measured - SILENT_AFTER_H).max(0.0) * SILENCE_SD_C_PER_H;
        let variance = READING_SD_C.powi(2) + DRIFT_SD_C.powi(2) * ahead / 3.0 + silence.powi(2);
        variance.sqrt().min(MAX_SD_C)
    }
}

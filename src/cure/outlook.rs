//! How well the bench temperature ahead is known, in °C of standard deviation.
//!
//! Where nothing else is known of the room the forecast holds the last reading. What that is worth is stated here: these
//! figures are our own working values for an unheated room (common practice, no source). A room whose past nights are known
//! brings its own.

use std::sync::Arc;

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

/// How far the room may wander from what is forecast.
#[derive(Debug, Clone, Default, PartialEq)]
pub enum RoomSpread {
    /// As an unwatched room does from the last reading.
    #[default]
    Unwatched,
    /// With a share of its variance, and so many °C off from the beginning.
    Wandering { share: f64, from_start_c: f64 },
    /// Hours after the last reading, rising from 0, and the standard deviation of the mean temperature until then, °C.
    Known(Arc<[(f64, f64)]>),
}

impl RoomSpread {
    /// A course that somebody foretells: how much less than an unwatched room it wanders, as a share of the variance, and what it
    /// is off from the beginning, °C (own working values).
    pub const FORETOLD: RoomSpread = RoomSpread::Wandering { share: 0.25, from_start_c: 0.5 };

    /// Variance of the temperature of an unwatched room `ahead_h` after its last reading, °C²: a random walk.
    pub fn point_variance(ahead_h: f64) -> f64 {
        (DRIFT_SD_C.powi(2) * ahead_h.max(0.0)).min(MAX_SD_C.powi(2))
    }

    /// Variance of the mean of such a walk over `ahead_h`, °C²: w² h/3, a textbook integral of min(s, t).
    pub fn mean_variance(ahead_h: f64) -> f64 {
        (DRIFT_SD_C.powi(2) * ahead_h.max(0.0) / 3.0).min(MAX_SD_C.powi(2))
    }

    /// Standard deviation of the mean temperature from the last reading until `ahead_h` after it, °C.
    pub fn mean_sd_c(&self, ahead_h: f64) -> f64 {
        let unwatched = Self::mean_variance(ahead_h);
        match self {
            RoomSpread::Unwatched => unwatched.sqrt(),
            RoomSpread::Wandering { share, from_start_c } => (share * unwatched + from_start_c.powi(2)).sqrt(),
            RoomSpread::Known(points) => {
                let after = points.partition_point(|(at_h, _)| *at_h <= ahead_h);
                match (after.checked_sub(1).and_then(|i| points.get(i)), points.get(after)) {
                    (Some((a_h, a)), Some((b_h, b))) => a + (b - a) * (ahead_h - a_h) / (b_h - a_h),
                    (Some((_, last)), None) => *last,
                    (None, _) => unwatched.sqrt(),
                }
            }
        }
    }
}

/// What is known of the temperature from the last reading on.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Up to here, in clock hours, the curve was measured; `None` when nothing was ever measured.
    pub measured_until_h: Option<f64>,
    /// The present, in clock hours.
    pub now_h: f64,
    pub spread: RoomSpread,
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

    /// Standard deviation, °C, of the mean temperature between the last reading and the clock hour `until_h`: what the room
    /// may do, with the error of the reading and what silence adds.
    pub fn mean_temperature_sd_c(&self, until_h: f64) -> f64 {
        self.mean_temperature_sd_between_c(self.measured_until_h.unwrap_or(until_h), until_h)
    }

    /// The same of the mean between the clock hours `from_h` and `until_h`, the first one not before the last reading.
    ///
    /// As a walk wanders: with w² its growth an hour, the mean over [0, u] has the variance w² u/3, that over [t, u] has
    /// w² (t + (u − t)/3), so (u + 2 t)/u times as much.
    pub fn mean_temperature_sd_between_c(&self, from_h: f64, until_h: f64) -> f64 {
        let Some(measured) = self.measured_until_h else { return NO_READING_SD_C };
        let (from, until) = ((from_h - measured).max(0.0), (until_h - measured).max(0.0));
        let later = if until > 0.0 { ((until + 2.0 * from.min(until)) / until).sqrt() } else { 1.0 };
        let room = self.spread.mean_sd_c(until) * later;
        let silence = (self.now_h - measured - SILENT_AFTER_H).max(0.0) * SILENCE_SD_C_PER_H;
        let variance = READING_SD_C.powi(2) + room.powi(2) + silence.powi(2);
        variance.sqrt().min(MAX_SD_C)
    }
}

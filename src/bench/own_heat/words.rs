//! A batch's own heat in words: all of it estimates, and said to be.

use super::{HeatPlace, OwnHeat};
use crate::bench::forecast::StageForecast;
use crate::bench::words::{day_clock_words, span_words};
use jiff::{Timestamp, tz::TimeZone};

/// Resin that is no more than this over the bench is not worth a word, °C.
pub const WORTH_TELLING_C: f64 = 3.0;

/// What the resin's own heat does to a stage: "9 min sooner by its own heat"; `None` where it does nothing to speak of.
pub fn correction_words(stage: &StageForecast) -> Option<String> {
    let moved = stage.plain?.duration_since(stage.band.likely?);
    let span = span_words(moved);
    Some(if moved.is_positive() {
        format!("{span} sooner by its own heat")
    } else {
        format!("{span} later: it warms itself little")
    })
}

/// How hot a batch gets, or is, and whether that is too hot; `None` where there is nothing to tell. An estimate, to be
/// called so where there is room.
pub fn heat_words(own: &OwnHeat, bench_c: f64, now: Timestamp, zone: &TimeZone) -> Option<(String, bool)> {
    let clock = |at: Timestamp| day_clock_words(at, now, zone);
    if let HeatPlace::Cup { too_hot_at } = own.place {
        let at = too_hot_at.filter(|_| own.calm_at().is_some_and(|calm| now < calm))?;
        let since = if at > now { "at" } else { "since" };
        return Some((format!("left in its cup: too hot to hold {since} {}", clock(at)), true));
    }
    let too_hot = own.peak_c > own.limit.get();
    let limit = if too_hot { format!(", limit {}", own.limit) } else { String::new() };
    if now < own.peak_at {
        let words = || format!("about {:.0} °C inside at {}{limit}", own.peak_c, clock(own.peak_at));
        return (own.peak_c - bench_c > WORTH_TELLING_C).then(|| (words(), too_hot));
    }
    let now_c = own.celsius_at(now).filter(|now_c| now_c - bench_c > WORTH_TELLING_C)?;
    let was = if too_hot { format!(", was {:.0}", own.peak_c) } else { String::new() };
    Some((format!("about {now_c:.0} °C inside now{was}{limit}"), too_hot))
}

/// What the heat of a full cup adds to the advice to use it up.
pub(in crate::bench) fn cup_words(own: &OwnHeat, now: Timestamp) -> Option<String> {
    let HeatPlace::Cup { too_hot_at: Some(at) } = own.place else { return None };
    let hot_still = own.calm_at().is_some_and(|calm| now < calm);
    match at.duration_since(now) {
        left if left.is_positive() => Some(format!("left in it, too hot to hold in about {}", span_words(left))),
        _ if hot_still => Some("it may be too hot to hold".to_owned()),
        _ => None,
    }
}

#[cfg(test)]
mod tests;

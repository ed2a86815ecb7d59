//! Times, chances and single pours.

use crate::night::{NightPour, PourWindow};
use crate::pour::LayerKind;
use jiff::{Timestamp, tz::TimeZone};

/// A clock time with its day: Fri 19:30.
pub fn weekday_clock(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%a %H:%M").to_string()
}

/// A chance in whole percent; what is not nothing is not called nothing.
pub fn percent_words(share: f64) -> String {
    let percent = share * 100.0;
    match percent {
        p if p <= 0.0 => "0 %".to_owned(),
        p if p < 1.0 => "<1 %".to_owned(),
        p if p > 99.0 && p < 100.0 => ">99 %".to_owned(),
        p => format!("{p:.0} %"),
    }
}

/// When a window opens and closes: likely times; the day stands where it is another than that of `beside`.
pub fn window_words(window: &PourWindow, beside: Timestamp, zone: &TimeZone) -> String {
    let clock = |at: Option<Timestamp>| match at {
        None => "never".to_owned(),
        Some(at) => {
            let (zoned, day) = (at.to_zoned_datetime(zone.clone()), beside.to_zoned_datetime(zone.clone()).date());
            let form = if zoned.date() == day { "%H:%M" } else { "%a %H:%M" };
            zoned.strftime(form).to_string()
        }
    };
    match window.closes.likely {
        None => format!("from {}", clock(window.opens.likely)),
        closes => format!("{} to {}", clock(window.opens.likely), clock(closes)),
    }
}

/// One pour in a line: which layer, when, with what.
pub fn pour_line_words(pour: &NightPour, zone: &TimeZone) -> String {
    let which = match pour.kind {
        LayerKind::Cast => format!("layer {}", pour.layer),
        LayerKind::Topping => "the topping".to_owned(),
    };
    let dose = pour.dose.map(|dose| format!(" with {:.2} %", dose.get())).unwrap_or_default();
    format!("{which} at {}{dose}", weekday_clock(pour.at, zone))
}

//! The answer of `nightpour age` in words.

use super::facts::{Facts, Rule, Wanted, moment};
use crate::sense::logger_file::{LoggerFile, Origin};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp, Unit};

/// Beyond this a bench does not stand: a hundred years, in hours.
const NEVER_IN_PRACTICE_H: f64 = 876_600.0;

/// The whole answer, each line ended.
pub(super) fn report(facts: &Facts, log: &LoggerFile, wanted: Option<Wanted>, zone: &TimeZone) -> String {
    let mut lines = vec![age(facts), bench(facts)];
    lines.extend(facts.floor_c.map(|floor| {
        if facts.standing_h > 0.0 {
            format!("The clock stood for {}, below the floor of {floor}.", length(facts.standing_h))
        } else {
            format!("It was never below the floor of {floor}.")
        }
    }));
    lines.extend(wanted.map(|wanted| reached(facts, log, wanted, zone)));
    lines.join("\n") + "\n"
}

fn age(facts: &Facts) -> String {
    let rule = match facts.rule {
        Rule::Q10 { q10 } => format!("q10 {}", q10.get()),
        Rule::ActivationEnergy { activation_kj } => format!("an activation energy of {activation_kj}"),
    };
    let (h, words) = (facts.cure_age_h, length(facts.cure_age_h));
    format!("Cure age {words} ({h:.3} h) at {} after {}, by {rule}.", facts.reference_c, length(facts.hours))
}

fn bench(facts: &Facts) -> String {
    let Facts { readings, min_c, max_c, mean_c, .. } = facts;
    let noun = if *readings == 1 { "reading" } else { "readings" };
    format!("Bench: {readings} {noun}, {min_c:.1} to {max_c:.1} °C, mean {mean_c:.1} °C.")
}

fn reached(facts: &Facts, log: &LoggerFile, wanted: Wanted, zone: &TimeZone) -> String {
    let age = length(wanted.age.get());
    let last_c = facts.last_c;
    match facts.reached_at_h {
        Some(h) if h > NEVER_IN_PRACTICE_H => {
            format!("At {last_c:.1} °C, the last temperature, cure age {age} would take more than a hundred years.")
        }
        Some(h) => {
            let held = if h > log.hours() { format!(", if the bench stays at {last_c:.1} °C") } else { String::new() };
            let after = length(h);
            format!("Cure age {age} is reached at {}, {after} after the first reading{held}.", place(log, h, zone))
        }
        None if wanted.hold => match facts.floor_c {
            Some(floor) => format!(
                "Cure age {age} is never reached at {last_c:.1} °C, the last temperature: below {floor} the clock stands."
            ),
            None => format!("Cure age {age} is never reached at {last_c:.1} °C, the last temperature."),
        },
        None => {
            let missing = wanted.age.get() - facts.cure_age_h;
            format!(
                "Cure age {age} is not reached within the readings; {} of it ({missing:.3} h) is missing at the last one. \
                 Add --hold to go on at {last_c:.1} °C.",
                length(missing)
            )
        }
    }
}

/// A place on the file's scale, to the minute, in the way the file tells time.
pub(super) fn place(log: &LoggerFile, elapsed_h: f64, zone: &TimeZone) -> String {
    let hours = |first: f64| format!("{:.3} h", first + elapsed_h);
    match log.origin() {
        Origin::Hours(first) => hours(first),
        Origin::Moment(_) => {
            let at = moment(log, elapsed_h).map(|at| at.round(Unit::Minute).unwrap_or(at));
            let words =
                |at: Timestamp| at.to_zoned_datetime(zone.clone()).strftime("%H:%M on %A %-d %B %Y").to_string();
            at.map_or_else(|| hours(0.0), words)
        }
        Origin::Clock(first) => {
            let minutes = SignedDuration::try_from_secs_f64(elapsed_h * 3600.0).unwrap_or(SignedDuration::MAX);
            let shown = first.wrapping_add(minutes);
            shown.round(Unit::Minute).unwrap_or(shown).strftime("%H:%M").to_string()
        }
    }
}

/// Hours as "14 h 39 min", rounded to the minute.
fn length(hours: f64) -> String {
    let minutes = (hours * 60.0).round();
    let (whole, rest) = ((minutes / 60.0).floor(), minutes.rem_euclid(60.0));
    match (whole > 0.0, rest > 0.0) {
        (true, true) => format!("{whole} h {rest} min"),
        (true, false) => format!("{whole} h"),
        (false, _) => format!("{rest} min"),
    }
}

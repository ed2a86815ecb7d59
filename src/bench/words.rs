//! The bench's sentences: few words, one action.

use super::alarm_id::Phase;
use super::alarms::{Alarm, AlarmState, Reason};
use super::batch::Batch;
use super::forecast::{BatchForecast, StageForecast};
use super::notice::{Insistence, Notice};
use super::own_heat::{WORTH_TELLING_C, cup_words};
use super::place::Place;
use super::readings::Reading;
use crate::material::{AfterClosing, Profile, Stage};
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

/// What a notice needs to know beside the alarm itself.
#[derive(Clone)]
pub(super) struct Ringing<'a> {
    pub count: u32,
    pub now: Timestamp,
    pub zone: &'a TimeZone,
    /// Of a word ahead: when it is due.
    pub of: Option<Timestamp>,
    /// What is to be poured onto the batch, where that is planned.
    pub pour: Option<String>,
}

/// An alarm that rings this long after it fell due says so.
const LATE: SignedDuration = SignedDuration::from_mins(2);

/// What to do about an alarm, at `now`: few words, the first of them enough to act on. `pour` is what is planned onto the
/// batch.
pub fn action(alarm: &Alarm, batch: &Batch, forecast: &BatchForecast, now: Timestamp, pour: Option<&str>) -> String {
    let profile = batch.profile.as_deref();
    let cure = profile.and_then(Profile::thermal);
    if alarm.reason == Reason::ClockStands {
        let floor = cure.map(|c| format!(", floor {}", c.floor.value)).unwrap_or_default();
        return format!("warm the bench: {:.1} °C{floor}; nothing sets meanwhile", forecast.bench_c);
    }
    let Some(stage) = alarm.id.stage() else { return "look at the thermometer".to_owned() };
    let test = cure.and_then(|c| c.stage(stage)).map(|s| format!("; test: {}", s.test)).unwrap_or_default();
    let after = match profile.and_then(|p| p.after_closing) {
        Some(AfterClosing::Sand) => "sand first",
        Some(AfterClosing::Wash) => "wash first",
        Some(AfterClosing::Wait) => "wait for full cure",
        Some(AfterClosing::Nothing) | None => "test first",
    };
    let cup = || forecast.own_heat.as_ref().and_then(|own| cup_words(own, now)).map(|words| format!("; {words}"));
    match (alarm.id.phase(), pour) {
        (Phase::Ahead, Some(pour)) => return format!("get ready: {pour}"),
        (Phase::Ahead, None) if stage == Stage::NextLayerCloses => {
            return "last chance for the next layer soon".to_owned();
        }
        (Phase::Ahead, None) => return "get ready: weigh out, mix nothing yet".to_owned(),
        (Phase::Missed, _) => return missed_words(profile.and_then(|p| p.after_closing)).to_owned(),
        (Phase::Due, _) => {}
    }
    match stage {
        Stage::PotLife if forecast.stage(stage).and_then(|s| s.band.late).is_some_and(|late| late <= now) => {
            format!("the cup has probably set: do not pour it{}", cup().unwrap_or_default())
        }
        Stage::PotLife => format!("use up the cup now{}", cup().unwrap_or_default()),
        Stage::Gel => format!("look for gel{test}"),
        Stage::TackFree => format!("try whether it is tack-free{test}"),
        Stage::NextLayerOpens | Stage::NextLayerCloses if forecast.window_is_over(now) => {
            format!("the window has probably closed: {after}")
        }
        Stage::NextLayerOpens => format!("{}{test}", pour.unwrap_or("the next layer may go on")),
        Stage::NextLayerCloses => format!("{} now; later, {after}", pour.unwrap_or("pour the next layer")),
        Stage::Demould | Stage::FullCure if let Some(pour) = pour => format!("it has set: {after}, then {pour}"),
        Stage::Demould => format!("it may come out of the mould{test}{}", still_hot(forecast, now)),
        Stage::FullCure => "full cure is likely reached".to_owned(),
    }
}

/// What to do now that nothing was poured into the window.
fn missed_words(after: Option<AfterClosing>) -> &'static str {
    match after {
        Some(AfterClosing::Sand) => "no layer went on in time: let it set, sand it dull, wipe off the dust, then pour",
        Some(AfterClosing::Wash) => "no layer went on in time: let it set, wash off the skin, dry it, then pour",
        Some(AfterClosing::Wait) => "no layer went on in time: wait for full cure before the next",
        Some(AfterClosing::Nothing) | None => {
            "no layer went on in time: try on a trial cup whether the next still bonds"
        }
    }
}

/// What has set by its own heat is hot then, and soft.
fn still_hot(forecast: &BatchForecast, now: Timestamp) -> String {
    let inside_c = forecast.own_heat.as_ref().and_then(|own| own.celsius_at(now));
    let hot = inside_c.filter(|inside_c| inside_c - forecast.bench_c > WORTH_TELLING_C);
    hot.map(|hot| format!("; still about {hot:.0} °C inside: let it cool first")).unwrap_or_default()
}

/// A notice for every channel.
pub(super) fn notice(alarm: &Alarm, batch: &Batch, forecast: &BatchForecast, ringing: &Ringing<'_>) -> Notice {
    let headline = format!("{} · {}", batch.title(), alarm.words());
    let late = ringing.now.duration_since(alarm.due);
    let prefix = match alarm.state {
        _ if alarm.id.phase() == Phase::Ahead => {
            ringing.of.map(|of| format!("in {}: ", span_words(of.duration_since(ringing.now)))).unwrap_or_default()
        }
        AlarmState::Sounding { missed: true } => format!("missed, due {} ago; ", span_words(late)),
        _ if ringing.count > 1 => format!("ring {}; ", ringing.count),
        // Rung for the first time, yet due before: a batch told late, a machine that slept a little.
        _ if late >= LATE => format!("due {} ago; ", span_words(late)),
        _ => String::new(),
    };
    let clock = |at: Timestamp| day_clock_words(at, ringing.now, ringing.zone);
    let band = alarm.id.stage().and_then(|stage| forecast.stage(stage)).map(|stage| stage.band);
    let band = match band.map(|b| (b.early, b.likely, b.late)) {
        Some((Some(early), Some(likely), Some(late))) => {
            format!(". {} ({} to {})", clock(likely), clock(early), clock(late))
        }
        _ => String::new(),
    };
    let detail = format!("{prefix}{}{band}", action(alarm, batch, forecast, ringing.now, ringing.pour.as_deref()));
    Notice {
        alarm: alarm.id,
        urgency: alarm.urgency,
        insistence: Insistence::of(alarm, ringing.count),
        first: ringing.count == 1,
        due: alarm.due,
        headline: PlainText::new(&headline),
        detail: PlainText::new(&detail),
    }
}

/// A notice that a place is not read any more; `last` is its last reading.
pub(super) fn silence_notice(
    alarm: &Alarm,
    place: Place,
    last: Option<&Reading>,
    count: u32,
    now: Timestamp,
) -> Notice {
    let since = last.map_or_else(
        || "no reading has come yet".to_owned(),
        |last| format!("last {:.1}, {} ago", last.celsius, span_words(now.duration_since(last.at))),
    );
    let again = if count > 1 { format!("ring {count}; ") } else { String::new() };
    let place = last.map_or(place.name(), |last| last.source.as_str());
    let detail = format!("{again}{since}: look at the thermometer, and enter a reading by hand; the clocks only guess");
    Notice {
        alarm: alarm.id,
        urgency: alarm.urgency,
        insistence: Insistence::of(alarm, count),
        first: count == 1,
        due: alarm.due,
        headline: PlainText::new(&format!("{place} · {}", alarm.words())),
        detail: PlainText::new(&detail),
    }
}

/// Why `stage` will not come, in few words: the bench is too cool, for the clock or for this stage.
pub fn never_words(stage: &StageForecast, forecast: &BatchForecast) -> String {
    let bench_c = forecast.bench_c;
    match stage.least_c.filter(|least| !forecast.stands() && bench_c < *least) {
        Some(least) => {
            let least = warmth_words(least);
            format!("never at {bench_c:.1} °C: the cure stops short of it; from {least} on it goes on")
        }
        None => "never at this temperature".to_owned(),
    }
}

/// A temperature that must be reached, in °C: to a tenth of a degree, rounded up, so that it is enough.
pub fn warmth_words(least_c: f64) -> String {
    // Less than any thermometer shows, so that a rounding error is not rounded up.
    format!("{} °C", figure_words(((least_c - 1e-6) * 10.0).ceil() / 10.0, 1))
}

/// A clock time as the bench's wall shows it: 23:40.
pub fn clock_words(at: Timestamp, zone: &TimeZone) -> String {
    at.to_zoned_datetime(zone.clone()).strftime("%H:%M").to_string()
}

/// The clock time; with the day where it is not within half a day or so of `now`, and the date alone far off.
pub fn day_clock_words(at: Timestamp, now: Timestamp, zone: &TimeZone) -> String {
    let form = match at.duration_since(now).as_hours().abs() {
        0..14 => "%H:%M",
        14..140 => "%a %H:%M",
        _ => "%d %b",
    };
    at.to_zoned_datetime(zone.clone()).strftime(form).to_string()
}

/// A length of time in at most two units: 3 d 4 h, 1 h 20 min, 12 min, 40 s. The sign is dropped.
pub fn span_words(span: SignedDuration) -> String {
    let seconds = span.as_secs().unsigned_abs();
    let (days, hours, minutes) = (seconds / 86_400, seconds / 3600 % 24, seconds / 60 % 60);
    match (days, hours, minutes) {
        (0, 0, 0) => format!("{seconds} s"),
        (0, 0, m) => format!("{m} min"),
        (0, h, 0) => format!("{h} h"),
        (0, h, m) => format!("{h} h {m:02} min"),
        (d, 0, _) => format!("{d} d"),
        (d, h, _) => format!("{d} d {h} h"),
    }
}

/// A figure with at most so many decimals, and no nought at their end: 85, 51.92.
pub fn figure_words(figure: f64, decimals: i32) -> String {
    let scale = 10f64.powi(decimals);
    ((figure * scale).round() / scale).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_no_digits_that_nobody_can_read_off() {
        assert_eq!((figure_words(51.917_491, 2).as_str(), figure_words(85.0, 2).as_str()), ("51.92", "85"));
        assert_eq!((figure_words(9.96, 1).as_str(), figure_words(5.94, 1).as_str()), ("10", "5.9"));
    }

    #[test]
    fn a_warmth_is_rounded_so_that_it_is_enough() {
        assert_eq!([17.0, 16.213, 17.000_000_3, 17.3].map(warmth_words), ["17 °C", "16.3 °C", "17 °C", "17.3 °C"]);
    }

    #[test]
    fn spans_read_easily() {
        let words = |s| span_words(SignedDuration::from_secs(s));
        assert_eq!(words(40), "40 s");
        assert_eq!(words(-720), "12 min");
        assert_eq!(words(4800), "1 h 20 min");
        assert_eq!(words(7200), "2 h");
        assert_eq!(words(3 * 86_400 + 4 * 3600), "3 d 4 h");
    }
}

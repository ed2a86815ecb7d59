//! A night's plan as an iCalendar file (RFC 5545).

use super::night::{percent_words, window_words};
use crate::night::{NightPlan, NightPour, NightRules};
use crate::pour::LayerKind;
use crate::text::PlainText;
use icalendar::{Alarm, Calendar, Component, Event, EventLike, Property, Trigger};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

/// Who made it (RFC 5545, 3.7.3).
const PRODUCT: &str = "-//Nightpour//Pour times//EN";

/// Sequence numbers count seconds from here, 2026-01-01: they have 31 bits (RFC 5545, 3.3.8).
const SEQUENCE_FROM: i64 = 1_767_225_600;

/// What a calendar is made of.
#[derive(Debug, Clone, Copy)]
pub struct CalendarAsk<'a> {
    pub piece: &'a PlainText,
    pub plan: &'a NightPlan,
    pub rules: &'a NightRules,
    pub zone: &'a TimeZone,
    /// When it is made: what is read in later with the same names takes its place.
    pub made: Timestamp,
}

/// One event for each pour, with a word ahead and one on time, and one for the finish. Every event keeps its name (UID) from plan to
/// plan, so that reading a later file in moves it; times are in UTC, which every calendar shows as its own clock has it.
pub fn calendar(ask: &CalendarAsk<'_>) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    calendar.append_property(Property::new("PRODID", PRODUCT));
    calendar.append_property(Property::new("METHOD", "PUBLISH"));
    for pour in &ask.plan.pours {
        calendar.push(pour_event(ask, pour));
    }
    if ask.plan.finish.stage.is_some() {
        calendar.push(finish_event(ask));
    }
    calendar.to_string()
}

fn pour_event(ask: &CalendarAsk<'_>, pour: &NightPour) -> Event {
    let which = match pour.kind {
        LayerKind::Cast => format!("layer {}", pour.layer),
        LayerKind::Topping => "topping".to_owned(),
    };
    let dose = pour.dose.map(|dose| format!(", {:.2} % catalyst", dose.get())).unwrap_or_default();
    let summary = format!("Pour {which} of {}{dose}", ask.piece);
    let mut lines = Vec::new();
    if let Some(window) = pour.window {
        lines.push(format!("The layer below can take it {}.", window_words(&window, pour.at, ask.zone)));
        lines.push(format!(
            "Chance that it is not open yet {}, that it has closed {}.",
            percent_words(pour.not_open()),
            percent_words(pour.closed())
        ));
    }
    if pour.sanded {
        lines.push("Its window has closed by then: do what the profile says of that first.".to_owned());
    }
    lines.push("Times are estimates; look at the layer first. The label wins.".to_owned());
    let part = format!("layer-{}", pour.layer);
    let mut event = event(ask, &part, (pour.at, ask.rules.pouring));
    event.summary(&summary).description(&lines.join("\n"));
    event.alarm(alarm(ask, &part, "ahead", &summary, ask.rules.prepare));
    event.alarm(alarm(ask, &part, "now", &summary, SignedDuration::ZERO));
    event.done()
}

fn finish_event(ask: &CalendarAsk<'_>) -> Event {
    let summary = format!("{} can leave its mould", ask.piece);
    let mut event = event(ask, "finish", (ask.plan.finish.likely, ask.rules.pouring));
    event.summary(&summary).description("An estimate: test it first.");
    // Nothing spoils that waits in its mould: nobody is woken for it.
    let at = ask.plan.finish.likely;
    if !ask.plan.asleep.iter().any(|night| night.from <= at && at < night.until) {
        event.alarm(alarm(ask, "finish", "now", &summary, SignedDuration::ZERO));
    }
    event.done()
}

/// So long before the event; named, so that the same plan is the same file.
fn alarm(ask: &CalendarAsk<'_>, part: &str, which: &str, summary: &str, ahead: SignedDuration) -> Alarm {
    let mut alarm = Alarm::display(summary, Trigger::before_start(chrono::Duration::seconds(ahead.as_secs())));
    alarm.uid(&format!("{which}.{part}.{}@nightpour", name_of(ask.piece)));
    alarm.append_property(Property::new("DTSTAMP", utc(ask.made)));
    alarm.done()
}

fn event(ask: &CalendarAsk<'_>, part: &str, (at, length): (Timestamp, SignedDuration)) -> Event {
    let mut event = Event::with_uid(&format!("{part}.{}@nightpour", name_of(ask.piece)));
    event.append_property(Property::new("DTSTAMP", utc(ask.made)));
    event.append_property(Property::new("DTSTART", utc(at)));
    event.append_property(Property::new("DTEND", utc(at + length)));
    // Later is newer, without anything to be kept in mind from file to file.
    event.append_property(Property::new("SEQUENCE", (ask.made.as_second() - SEQUENCE_FROM).max(0).to_string()));
    event
}

/// A piece's name as part of a UID: letters and digits as they are, everything else by its number, so that no two names meet.
fn name_of(piece: &PlainText) -> String {
    let letter = |c: char| match c {
        c if c.is_ascii_alphanumeric() => c.to_string(),
        ' ' => "-".to_owned(),
        c => format!("_{:x}_", u32::from(c)),
    };
    piece.as_str().chars().map(letter).collect()
}

/// Form 2 of a date-time: UTC.
fn utc(at: Timestamp) -> String {
    at.to_zoned_datetime(TimeZone::UTC).strftime("%Y%m%dT%H%M%SZ").to_string()
}

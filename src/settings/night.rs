//! When somebody sleeps, and how they like to pour.

use super::read::span;
use super::rules::quiet_as_sleep;
use crate::bench::QuietHours;
use crate::night::{Appointment, BadHours, Hours, NightRules, Rest};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use jiff::SignedDuration;
use std::str::FromStr;

const SLEEP: Key = Key::new("sleep", "[\"23:00-06:30\"]");
const APPOINTMENTS: Key = Key::new("appointments", "[\"tue 19:00-21:00 choir\"]");
const PREPARE: Key = Key::new("prepare", "\"10m\"");
const POURING: Key = Key::new("pouring", "\"5m\"");
const RISK: Key = Key::new("risk_percent", "10");
const SANDING: Key = Key::new("after_closing_wakeups", "2");
const DOSES: Key = Key::new("other_doses", "true");

/// Nobody pours for longer than this at a time.
const LONGEST: SignedDuration = SignedDuration::from_hours(4);
/// A sanding worth more wake-ups than this is not done.
const MOST_WAKEUPS: f64 = 10.0;

/// What `[night]` says; sleep it does not speak of is asleep in the quiet hours, and without those as most people are.
pub(super) fn night(table: Option<&mut Table<'_>>, quiet: Option<QuietHours>) -> Result<NightRules, Reported> {
    let mut rules =
        NightRules { rest: Rest { sleep: vec![quiet_as_sleep(quiet)], ..Rest::default() }, ..NightRules::default() };
    let Some(table) = table else { return Ok(rules) };
    let sleep = table.optional(SLEEP, |field| field.list("a list of hours", hours::<Hours>));
    let appointments = table.optional(APPOINTMENTS, |field| field.list("a list of hours", hours::<Appointment>));
    let prepare = work(table, PREPARE);
    let pouring = work(table, POURING);
    let risk = table.optional(RISK, |field| figure(field, 0.1..=50.0));
    let sanding = table.optional(SANDING, |field| figure(field, 0.0..=MOST_WAKEUPS));
    let doses = table.optional(DOSES, Field::truth);
    if let Some(sleep) = sleep? {
        rules.rest.sleep = sleep;
    }
    rules.rest.appointments = appointments?.unwrap_or_default();
    rules.prepare = prepare?.unwrap_or(rules.prepare);
    rules.pouring = pouring?.unwrap_or(rules.pouring);
    rules.risk = risk?.map_or(rules.risk, |percent| percent / 100.0);
    rules.sanding = sanding?;
    rules.doses = doses?.is_none_or(Spanned::into_inner);
    Ok(rules)
}

fn hours<T: FromStr<Err = BadHours>>(field: Field<'_>) -> Result<T, Reported> {
    let read = |text: &str| {
        text.parse::<T>()
            .map_err(|bad| Mistake { what: "that cannot be read as hours".to_owned(), remedy: bad.to_string() })
    };
    Ok(field.parsed(read)?.into_inner())
}

fn work(table: &mut Table<'_>, key: Key) -> Result<Option<SignedDuration>, Reported> {
    let length = span(table, key)?.map(super::read::length);
    match length.filter(|length| *length > LONGEST) {
        Some(_) => Err(table.fault(table.span(), "nobody pours for so long at a time", "give four hours at most")),
        None => Ok(length),
    }
}

fn figure(field: Field<'_>, range: std::ops::RangeInclusive<f64>) -> Result<f64, Reported> {
    let problem = |field: &Field<'_>| {
        field.problem("that is out of range", &format!("write a figure from {} to {}", range.start(), range.end()))
    };
    let at = field.clone();
    let figure = field.number()?.into_inner();
    if range.contains(&figure) { Ok(figure) } else { Err(problem(&at)) }
}

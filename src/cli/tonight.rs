//! `nightpour tonight`: what the forecast of the bench's temperature is made of.

use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::bench::{Basis, Command, Log, Tonight, TypedKnot, clock_words};
use crate::text::PlainText;
use crate::units::Celsius;
use crate::when::{parse_ahead, rfc3339};
use clap::Args;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use std::io::Write;

/// What the bench's temperature will do tonight: show it, or say what to go by
///
/// Without anything else the room's own past nights are laid on the present temperature, as far as there are readings of
/// them; without those the last reading holds. What is typed holds until its last time has passed.
#[derive(Debug, Args)]
pub struct TonightArgs {
    /// A time still to come and its temperature, as in 23:00=17.5; as many as you like
    #[arg(value_name = "TIME=C")]
    knots: Vec<String>,

    /// Hold the last reading
    #[arg(long, conflicts_with_all = ["knots", "past_nights"])]
    hold: bool,

    /// Go by the room's past nights again
    #[arg(long, conflicts_with = "knots")]
    past_nights: bool,

    /// Print the forecast as JSON
    #[arg(long)]
    json: bool,
}

/// The forecast as `--json` prints it.
#[derive(Debug, Serialize)]
struct TonightFacts {
    by: &'static str,
    past_nights: Option<u32>,
    hours: Vec<HourFacts>,
}

#[derive(Debug, Serialize)]
struct HourFacts {
    at: String,
    bench_c: f64,
    /// Standard deviation of the mean temperature until then.
    mean_sd_c: f64,
}

const AHEAD_H: i64 = 12;
/// Nobody knows the room of the day after tomorrow.
const MOST_AHEAD: SignedDuration = SignedDuration::from_hours(36);

pub(super) fn run(args: &TonightArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let wanted = match (args.knots.is_empty(), args.hold, args.past_nights) {
        (false, ..) => Some(Tonight::Typed { knots: knots(args, desk)? }),
        (_, true, _) => Some(Tonight::Held),
        (_, _, true) => Some(Tonight::PastNights),
        _ => None,
    };
    let log = match wanted {
        Some(tonight) => {
            let written = desk.write(&desk.shelf().catalogue, |_| Ok(Command::Expect(tonight)))?;
            if !args.json {
                written.tell(&desk.zone, out)?;
            }
            written.log
        }
        None => Log::replay(desk.entries()?),
    };
    let hours = hours(&log, desk);
    let (by, past_nights) = match log.readings().basis() {
        Basis::Held => ("held", None),
        Basis::Typed => ("typed", None),
        Basis::PastNights(nights) => ("past-nights", Some(nights)),
    };
    if args.json {
        let hours = hours.iter().map(|(at, bench_c, mean_sd_c)| HourFacts {
            at: rfc3339(*at, &desk.zone),
            bench_c: *bench_c,
            mean_sd_c: *mean_sd_c,
        });
        return Ok(print_json(&TonightFacts { by, past_nights, hours: hours.collect() }, out)?);
    }
    let words = match log.readings().basis() {
        Basis::Held => "the last reading, held".to_owned(),
        Basis::Typed => "as typed".to_owned(),
        Basis::PastNights(1) => "by one past night of this room".to_owned(),
        Basis::PastNights(nights) => format!("by {nights} past nights of this room"),
    };
    if hours.is_empty() {
        writeln!(out, "no bench reading yet; 'nightpour temp C' enters one")?;
        return Ok(());
    }
    writeln!(out, "bench temperature ahead: {words} (an estimate)")?;
    for (at, bench_c, mean_sd_c) in hours {
        writeln!(out, "  {}  {bench_c:.1} °C  mean until then ±{mean_sd_c:.1}", clock_words(at, &desk.zone))?;
    }
    Ok(())
}

fn hours(log: &Log, desk: &Desk) -> Vec<(Timestamp, f64, f64)> {
    let Some(curve) = log.readings().curve(desk.now) else { return Vec::new() };
    let outlook = log.readings().outlook(desk.now, desk.now);
    let hour = |h: i64| {
        let ahead_h = h as f64;
        (desk.now + SignedDuration::from_hours(h), curve.at(ahead_h), outlook.mean_temperature_sd_c(ahead_h))
    };
    (0..=AHEAD_H).map(hour).collect()
}

fn knots(args: &TonightArgs, desk: &Desk) -> Result<Vec<TypedKnot>, Failure> {
    let mut knots: Vec<TypedKnot> = Vec::new();
    for given in &args.knots {
        let bad = || Failure::NoKnot(PlainText::new(given));
        let (at, celsius) = given.split_once('=').ok_or_else(bad)?;
        // Each after the one before it, so that 23:00 and 02:00 are one night.
        let after = knots.last().map_or(desk.now, |knot| knot.at);
        let at = parse_ahead(at.trim(), after, &desk.zone)?;
        let celsius = celsius
            .trim()
            .trim_end_matches(['C', '°'])
            .replace(',', ".")
            .parse()
            .ok()
            .and_then(|c| Celsius::new(c).ok());
        if at > desk.now + MOST_AHEAD {
            return Err(Failure::KnotTooFar(PlainText::new(given)));
        }
        knots.push(TypedKnot { at, celsius: celsius.ok_or_else(bad)? });
    }
    Ok(knots)
}

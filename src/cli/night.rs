//! `nightpour night`: when to pour each layer that is left, so that people can sleep.

mod asked;
mod case;
mod ics_file;
mod json;
mod text;

use super::figure::figure;
use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::bench::Refusal;
use crate::night::{NoNight, WhatIf, night, what_if};
use crate::report::{CalendarAsk, calendar};
use crate::sense::logger_file::LoggerFileError;
use crate::text::PlainText;
use crate::units::Celsius;
use asked::Asked;
use clap::Args;
use ics_file::{IcsError, IcsFile};
use std::io::{self, Write};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  nightpour night column.toml                          when to pour, and: now or in the morning?
  nightpour night column.toml --from 19:30 --sleep 23:00-06:30
  nightpour night column.toml --by 'sat 10:00'         out of the mould by then
  nightpour night                                      the piece on the bench, from now on
  nightpour night --accept                             and go by it: alarms ring for these times
  nightpour night --wake-at 06:15                      which dose has its window open then
  nightpour night column.toml --what-if                a colder night, a weaker dose, a layer less
  nightpour night column.toml --ics pours.ics          for a calendar

Sleep hours and appointments of every week belong into [night] of the settings.
Times and chances are estimates: look at the layer before you pour on it.";

/// When to pour each layer that is left, so that you can sleep: wake-ups fewest, then done soonest
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct NightArgs {
    /// The piece file, or the number of a piece on the bench such as #1 [default: the piece on the bench]
    piece: Option<PathBuf>,

    /// Nothing is poured before this time: 19:30 (the next one), '2026-03-02 19:30' [default: now]
    #[arg(long, value_name = "TIME")]
    from: Option<String>,

    #[command(flatten)]
    wishes: WishArgs,

    /// A bench that stays at this temperature, in °C [default: the notebook's forecast, else the piece's]
    #[arg(long, value_name = "C", value_parser = figure::<Celsius>, allow_negative_numbers = true, conflicts_with = "forecast")]
    bench_c: Option<Celsius>,

    /// The bench's temperature ahead from a file: CSV with the columns 'time' and 'c'; without dates it begins with --from
    #[arg(long, value_name = "FILE")]
    forecast: Option<PathBuf>,

    /// Reverse: pour the next layer as planned, get up at this time; which dose has its window open then?
    #[arg(long, value_name = "TIME", conflicts_with_all = ["what_if", "accept", "ics"])]
    wake_at: Option<String>,

    /// The same plan on a night 3 °C colder, with doses a fifth weaker, with a layer less, side by side
    #[arg(long)]
    what_if: bool,

    /// Go by this plan: the alarms of the piece on the bench ring for its times. What is wished for here counts for this plan; the
    /// screen plans on by your settings
    #[arg(long)]
    accept: bool,

    /// Print JSON
    #[arg(long)]
    json: bool,

    /// Write the pours as a calendar: one iCalendar file, its name ending in .ics
    #[arg(long, value_name = "FILE")]
    ics: Option<PathBuf>,

    /// A bare case of slots and windows from a JSON file, to check the search with
    #[arg(long, value_name = "FILE", exclusive = true, hide = true)]
    case: Option<PathBuf>,
}

/// How somebody wants to pour.
#[derive(Debug, Args)]
struct WishArgs {
    /// When you sleep, as 23:00-06:30 or 'fri, sat 00:30-09:00'; as often as you like [default: your settings']
    #[arg(long, value_name = "HOURS")]
    sleep: Vec<String>,

    /// When you have no time, as 'tue 19:00-21:00' or '2026-12-01 14:00-16:30'; besides those of your settings
    #[arg(long, value_name = "HOURS")]
    busy: Vec<String>,

    /// It must be out of its mould by this time, but for the risk that is taken, as 'sat 10:00' or '2026-03-07 10:00'
    #[arg(long, value_name = "TIME")]
    by: Option<String>,

    /// The most that is risked for a single pour, in percent, 0.1 to 50: its window missed, a wake-up for nothing
    #[arg(long, value_name = "P", allow_negative_numbers = true)]
    risk_percent: Option<f64>,

    /// Allow pouring on a window that has closed, with what the profile asks for then, at this price in wake-ups
    #[arg(long, value_name = "WAKE-UPS", allow_negative_numbers = true)]
    after_closing: Option<f64>,

    /// Only the doses of the plan
    #[arg(long)]
    planned_doses: bool,
}

/// What is looked at beside the plan.
const CASES: [WhatIf; 3] = [WhatIf::Colder { by_c: 3.0 }, WhatIf::Weaker { by: 0.2 }, WhatIf::OneLayerLess];

/// Why there are no pour times.
#[derive(Debug, thiserror::Error)]
pub(super) enum NightError {
    #[error(transparent)]
    Failure(#[from] Failure),
    #[error(transparent)]
    NoNight(#[from] NoNight),
    #[error(transparent)]
    Hours(#[from] crate::night::BadHours),
    #[error(transparent)]
    Ics(#[from] IcsError),
    #[error("the forecast '{file}' cannot be read: {source}")]
    NoForecast { file: PlainText, source: io::Error },
    #[error("the forecast '{file}', {error}")]
    BadForecast { file: PlainText, error: LoggerFileError },
    #[error("the forecast '{file}' ends before the plan begins; give --from a time within it, or a file without dates")]
    OldForecast { file: PlainText },
    #[error("{what} of {given} is out of range; give a figure from {least} to {most}")]
    OutOfRange { what: &'static str, given: f64, least: f64, most: f64 },
    #[error("'{by}' is before the plan begins; give --by a time after it, as 'sat 10:00' or '2026-03-07 10:00'")]
    DeadlinePast { by: PlainText },
    #[error("only a piece on the bench has alarms; 'nightpour start' puts it there, then accept its plan")]
    NotOnBench,
    #[error("{0}")]
    NoDoses(String),
    #[error("the case file '{file}' cannot be read: {source}")]
    CaseFile { file: String, source: io::Error },
    #[error("the case file '{file}' cannot be used: {what}")]
    BadCase { file: String, what: String },
}

impl From<io::Error> for NightError {
    fn from(error: io::Error) -> Self {
        Failure::from(error).into()
    }
}

impl From<Refusal> for NightError {
    fn from(refusal: Refusal) -> Self {
        Failure::from(refusal).into()
    }
}

pub(super) fn run(args: &NightArgs, desk: &Desk, out: &mut impl Write) -> Result<(), NightError> {
    if let Some(file) = &args.case {
        return case::run(file, out);
    }
    let ics = args.ics.as_deref().map(IcsFile::at).transpose()?;
    let asked = Asked::read(args, desk)?;
    let options = asked.ground.options();
    let ask = asked.ground.ask(&options);
    if let Some(wake) = &args.wake_at {
        let doses = asked.doses_for_waking(wake, &ask)?;
        return if args.json {
            Ok(print_json(&json::DosesJson::new(&doses, &asked.ground), out)?)
        } else {
            Ok(out.write_all(text::doses(&doses, &asked.ground).as_bytes())?)
        };
    }
    let night = night(ask)?;
    let cases = if args.what_if {
        CASES.into_iter().filter_map(|case| what_if(ask, &night.best, case)).collect()
    } else {
        Vec::new()
    };
    if let Some(ics) = &ics {
        let piece = &asked.ground.piece.name;
        let rules = &asked.ground.rules;
        ics.write(&calendar(&CalendarAsk { piece, plan: &night.best, rules, zone: &desk.zone, made: desk.now }))?;
    }
    let accepted = if args.accept { Some(asked.accept(&night.best, desk)?) } else { None };
    if args.json {
        return Ok(print_json(&json::NightJson::new(&night, &cases, &asked), out)?);
    }
    out.write_all(text::text(&night, &cases, &asked).as_bytes())?;
    if let Some(written) = accepted {
        written.tell(&desk.zone, out)?;
    }
    if let Some(ics) = ics {
        writeln!(out, "The pours are in {}; a later file read into the same calendar moves them.", ics.shown())?;
    }
    Ok(())
}

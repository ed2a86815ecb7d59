//! `nightpour ack`: answers alarms from the command line.

use super::json::print_json;
use super::length::length;
use super::shared::{Desk, Failure, Written};
use crate::bench::{Alarm, AlarmId, AlarmState, BatchId, Bench, Command, Event, Refusal};
use crate::material::Stage;
use crate::text::PlainText;
use crate::units::Hours;
use crate::when::rfc3339;
use clap::Args;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;
use std::io::Write;
use std::time::Duration;

/// Whoever wants longer acknowledges.
const LONGEST_REST: Duration = Duration::from_hours(12);

/// Acknowledge what rings, wherever it sounds; or let it rest for a while
#[derive(Debug, Args)]
pub struct AckArgs {
    /// One batch's alarms (3), one stage's (3:gel), or 'silence' for thermometers; everything that rings, if left out
    #[arg(value_name = "ALARM")]
    which: Option<String>,

    /// Let it rest for so long instead, as in 10m
    #[arg(long, value_name = "DURATION", value_parser = length)]
    snooze: Option<Hours>,

    /// Print what was answered as JSON
    #[arg(long)]
    json: bool,
}

/// One answered alarm as `--json` prints it.
#[derive(Debug, Serialize)]
struct AnsweredFacts {
    #[serde(flatten)]
    alarm: AlarmId,
    words: String,
    due: String,
}

pub(super) fn run(args: &AckArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let catalogue = desk.shelf().catalogue;
    if args.snooze.is_some_and(|rest| rest.seconds() > LONGEST_REST.as_secs_f64()) {
        return Err(Failure::RestsTooLong(LONGEST_REST));
    }
    // Answering what rings must not hang on a slip in a file.
    let rules = desk.settings_or_usual().rules;
    // Whatever rings elsewhere rings here too: as if this bench had been open all day.
    let opened = desk.now - SignedDuration::from_hours(24);
    let mut bench = Bench::new(catalogue.clone(), desk.zone.clone(), opened).with_rules(rules);
    bench.handle(Event::Entries(desk.entries()?), desk.now);
    let wanted = args.which.as_deref().map(which).transpose()?;
    let due: Vec<Alarm> =
        bench.alarms().iter().filter(|alarm| rings(alarm, desk.now) && meant(alarm, wanted)).copied().collect();
    if due.is_empty()
        && let Some(wanted) = wanted
        && let Some(failure) = nothing_of(wanted, &bench, desk.now)
    {
        return Err(failure);
    }
    let facts = |alarm: &Alarm| AnsweredFacts {
        alarm: alarm.id,
        words: format!("{}: {}", bench.title_of(alarm.id), alarm.words()),
        due: rfc3339(alarm.due, &desk.zone),
    };
    if args.json {
        print_json(&due.iter().map(facts).collect::<Vec<_>>(), out)?;
    } else if due.is_empty() {
        writeln!(out, "nothing rings")?;
    }
    for alarm in due.iter().map(|alarm| alarm.id) {
        let command = match args.snooze {
            Some(rest) => Command::Snooze { alarm, until: desk.now + SignedDuration::from_secs_f64(rest.seconds()) },
            None => Command::Acknowledge { alarm },
        };
        let written: Written = desk.write(&catalogue, |_| Ok(command))?;
        if !args.json {
            written.tell(&desk.zone, out)?;
        }
    }
    Ok(())
}

/// What was asked for does not ring: there is no such batch, or others do; `None` where nothing rings at all.
fn nothing_of(wanted: Wanted, bench: &Bench, now: Timestamp) -> Option<Failure> {
    if let Wanted::Batch(batch) | Wanted::Stage(batch, _) = wanted
        && bench.log().batch(batch).is_none()
    {
        return Some(Refusal::UnknownBatch(batch).into());
    }
    let ringing = bench.alarms().iter().filter(|alarm| rings(alarm, now));
    let named: Vec<String> = ringing
        .map(|alarm| match alarm.id {
            AlarmId::Stage { batch, stage, .. } => format!("{batch}:{stage}"),
            AlarmId::Silence { .. } => "silence".to_owned(),
        })
        .collect();
    (!named.is_empty()).then(|| Failure::OthersRing(named.join(", ")))
}

/// What an answer is for: what rings, or rests until the morning; a word ahead as well.
fn rings(alarm: &Alarm, now: Timestamp) -> bool {
    matches!(alarm.state, AlarmState::Sounding { .. } | AlarmState::Resting { .. }) && alarm.due <= now
}

#[derive(Debug, Clone, Copy)]
enum Wanted {
    Batch(BatchId),
    Stage(BatchId, Stage),
    Silence,
}

fn which(given: &str) -> Result<Wanted, Failure> {
    let unknown = || Failure::NoAlarm(PlainText::new(given));
    let given_words = given.trim();
    if given_words.eq_ignore_ascii_case("silence") {
        return Ok(Wanted::Silence);
    }
    let number = |text: &str| text.trim().trim_start_matches('#').parse().map(BatchId).map_err(|_| unknown());
    match given_words.split_once(':') {
        None => Ok(Wanted::Batch(number(given_words)?)),
        Some((batch, stage)) => Ok(Wanted::Stage(number(batch)?, stage.parse()?)),
    }
}

fn meant(alarm: &Alarm, wanted: Option<Wanted>) -> bool {
    match wanted {
        None => true,
        Some(Wanted::Batch(batch)) => alarm.id.batch() == Some(batch),
        Some(Wanted::Stage(batch, stage)) => (alarm.id.batch(), alarm.id.stage()) == (Some(batch), Some(stage)),
        Some(Wanted::Silence) => alarm.id.batch().is_none(),
    }
}

//! `nightpour clocks`: every running batch and its stages, and the pieces on the bench.

use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::bench::{
    Batch, BatchForecast, BatchId, Log, Part, PieceId, Readings, StageStatus, Standing, clock_note, forecast,
    pour_words, span_words,
};
use crate::cure::Band;
use crate::material::{MaterialId, Stage};
use crate::when::rfc3339;
use clap::Args;
use jiff::{Timestamp, tz::TimeZone};
use serde::Serialize;
use std::io::{self, Write};

/// The running batches and when each of their stages is due; then the pieces on the bench
#[derive(Debug, Args)]
pub struct ClocksArgs {
    /// As of this time, knowing only what had happened by then
    #[arg(long, value_name = "TIME")]
    at: Option<String>,

    /// Print JSON
    #[arg(long)]
    json: bool,
}

/// One batch as `--json` prints it.
#[derive(Debug, Serialize)]
pub(super) struct BatchFacts {
    batch: BatchId,
    material: MaterialId,
    label: String,
    started: String,
    resin_g: Option<f64>,
    dose_percent: Option<f64>,
    depth_mm: Option<f64>,
    cure_age_h: Option<f64>,
    bench_c: Option<f64>,
    /// Age of the newest bench reading; null without one.
    reading_age_s: Option<i64>,
    /// The clock stands: the bench is below the profile's floor.
    stands: bool,
    stages: Vec<StageFacts>,
    /// The piece and the layer it is, or is a trial for; null where it is neither.
    piece: Option<PieceId>,
    layer: Option<u32>,
    trial: bool,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
}

#[derive(Debug, Serialize)]
struct StageFacts {
    stage: Stage,
    status: StageStatus,
    early: Option<String>,
    likely: Option<String>,
    late: Option<String>,
    reached_at: Option<String>,
    seconds_left: Option<i64>,
    /// Where the duration comes from.
    from: &'static str,
    #[serde(skip)]
    words: String,
}

pub(super) fn run(args: &ClocksArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let now = desk.time(args.at.as_deref())?;
    let entries = desk.entries()?;
    let log = if args.at.is_some() { Log::as_known_at(now, entries) } else { Log::replay(entries) };
    let facts: Vec<BatchFacts> =
        log.running().map(|batch| BatchFacts::of(batch, log.readings(), now, &desk.zone)).collect();
    if args.json {
        return Ok(print_json(&facts, out)?);
    }
    if facts.is_empty() {
        writeln!(out, "no batch is running; 'nightpour mix MATERIAL' starts one")?;
    }
    for batch in &facts {
        print_batch(batch, out)?;
    }
    let catalogue = desk.shelf().catalogue;
    for on_bench in log.pieces() {
        let standing = Standing::of(on_bench, &log, &catalogue, now);
        let next = match standing.as_ref().map(Standing::next_layer) {
            None => "cannot be planned".to_owned(),
            Some(None) => "full".to_owned(),
            Some(Some(layer)) => format!("next: {}", pour_words(layer)),
        };
        writeln!(out, "piece {} {}; {next}", on_bench.id, on_bench.name())?;
    }
    Ok(())
}

impl BatchFacts {
    pub fn of(batch: &Batch, readings: &Readings, now: Timestamp, zone: &TimeZone) -> Self {
        let forecast = forecast(batch, readings, now);
        let time = |at: Option<Timestamp>| at.map(|at| rfc3339(at, zone));
        let stages = forecast.iter().flat_map(|f| &f.stages).map(|s| {
            let Band { early, likely, late } = s.band.map(time);
            let left = s.band.likely.filter(|_| s.reached_at.is_none()).map(|at| at.duration_since(now));
            StageFacts {
                stage: s.stage,
                status: s.status,
                early,
                likely,
                late,
                reached_at: time(s.reached_at),
                seconds_left: left.map(|left| left.as_secs()),
                from: s.from.words(),
                words: in_words(s.status, s.reached_at.or(s.band.likely), &s.band, now, zone),
            }
        });
        let assumed = || "no bench reading: the profile's reference temperature is assumed".to_owned();
        let note = clock_note(batch, forecast.as_ref()).or_else(|| readings.last().is_none().then(assumed));
        Self {
            batch: batch.id,
            material: batch.mix.material.clone(),
            label: batch.mix.label.to_string(),
            started: rfc3339(batch.started, zone),
            resin_g: batch.mix.resin.map(crate::units::Grams::get),
            dose_percent: batch.mix.dose.map(crate::units::DosePercent::get),
            depth_mm: batch.mix.depth.map(crate::units::Millimetres::get),
            cure_age_h: forecast.as_ref().map(|f| f.cure_age.get()),
            bench_c: readings.last().and(forecast.as_ref().map(|f| f.bench_c)),
            reading_age_s: readings.last().map(|r| now.duration_since(r.at).as_secs()),
            stands: forecast.as_ref().is_some_and(BatchForecast::stands),
            stages: stages.collect(),
            piece: batch.mix.part.and_then(Part::piece),
            layer: batch.mix.part.and_then(Part::layer).map(|(_, layer)| layer),
            trial: batch.mix.part.is_some_and(Part::is_trial),
            note,
        }
    }
}

fn in_words(
    status: StageStatus,
    at: Option<Timestamp>,
    band: &Band<Option<Timestamp>>,
    now: Timestamp,
    zone: &TimeZone,
) -> String {
    let Some(at) = at else { return "never at this temperature".to_owned() };
    let clock = |at: Timestamp| {
        let zoned = at.to_zoned_datetime(zone.clone());
        let far = at.duration_since(now).as_hours().abs() >= 14;
        zoned.strftime(if far { "%a %d %b %H:%M" } else { "%H:%M" }).to_string()
    };
    if status == StageStatus::Seen {
        return format!("{}  seen", clock(at));
    }
    let edges = match (band.early, band.late) {
        (Some(early), Some(late)) => format!("  band {} to {}", clock(early), clock(late)),
        _ => String::new(),
    };
    let left = at.duration_since(now);
    let when =
        if left.is_negative() { format!("{} ago", span_words(left)) } else { format!("in {}", span_words(left)) };
    format!("{}  {when}{edges}", clock(at))
}

pub(super) fn print_batch(batch: &BatchFacts, out: &mut impl Write) -> io::Result<()> {
    let label = if batch.label.is_empty() { String::new() } else { format!("  {}", batch.label) };
    let label = if batch.trial { format!("{label}  trial") } else { label };
    let age = batch.cure_age_h.map(|age| format!("  cure age {age:.2} h")).unwrap_or_default();
    let bench = batch.bench_c.map(|c| format!("  bench {c:.1} °C")).unwrap_or_default();
    writeln!(out, "{:>2} {}{label}{age}{bench}", batch.batch.0, batch.material)?;
    if let Some(note) = &batch.note {
        writeln!(out, "   ! {note}")?;
    }
    for stage in &batch.stages {
        writeln!(out, "   {:<18} {}", stage.stage.words(), stage.words)?;
    }
    Ok(())
}

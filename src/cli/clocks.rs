//! `nightpour clocks`: every running batch and its stages, and the pieces on the bench.

use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::bench::{
    Batch, BatchForecast, BatchId, HeatBook, HeatPlace, Log, Part, PieceId, Readings, StageForecast, StageStatus,
    Standing, clock_note, forecast, heat_words, never_words, pour_words, span_words,
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
    /// The hottest place of the resin by the heat model, now and at most; null where it is not known.
    predicted_resin_c: Option<f64>,
    predicted_peak_c: Option<f64>,
    predicted_peak_at: Option<String>,
    /// Hotter than this a casting yellows or cracks.
    peak_limit_c: Option<f64>,
    /// Of a batch that is left in its cup.
    too_hot_to_hold_at: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<String>,
    #[serde(skip)]
    heat_words: Option<(String, bool)>,
}

#[derive(Debug, Serialize)]
struct StageFacts {
    stage: Stage,
    status: StageStatus,
    early: Option<String>,
    likely: Option<String>,
    late: Option<String>,
    /// The likely time by the temperature of the bench alone, where the resin's own heat makes it another.
    plain_likely: Option<String>,
    reached_at: Option<String>,
    seconds_left: Option<i64>,
    /// The bench it needs at least, because the cure stops short of it below; null where that is not known.
    needs_bench_c: Option<f64>,
    /// Where the duration comes from.
    from: &'static str,
    /// Of a learned one: so many observations of this stage; 0 where it goes along with the others.
    from_observations: Option<u32>,
    #[serde(skip)]
    words: String,
}

pub(super) fn run(args: &ClocksArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let now = desk.time(args.at.as_deref())?;
    let entries = desk.entries()?;
    let log = if args.at.is_some() { Log::as_known_at(now, entries) } else { Log::replay(entries) };
    let heat = HeatBook::of(&log);
    let facts: Vec<BatchFacts> =
        log.running().map(|batch| BatchFacts::of(batch, log.readings(), &heat, now, &desk.zone)).collect();
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
    pub fn of(batch: &Batch, readings: &Readings, heat: &HeatBook, now: Timestamp, zone: &TimeZone) -> Self {
        let forecast = forecast(batch, readings, heat.get(batch.id), now);
        let time = |at: Option<Timestamp>| at.map(|at| rfc3339(at, zone));
        let told = forecast.iter().flat_map(|f| f.stages.iter().map(move |stage| (f, stage)));
        let stages = told.map(|(forecast, s)| {
            let Band { early, likely, late } = s.band.map(time);
            let left = s.band.likely.filter(|_| s.reached_at.is_none()).map(|at| at.duration_since(now));
            StageFacts {
                stage: s.stage,
                status: s.status,
                early,
                likely,
                late,
                plain_likely: time(s.plain),
                reached_at: time(s.reached_at),
                seconds_left: left.map(|left| left.as_secs()),
                from: s.from.words(),
                from_observations: s.learned_from,
                needs_bench_c: s.least_c,
                words: in_words(s, forecast, now, zone),
            }
        });
        let own = forecast.as_ref().and_then(|f| f.own_heat.as_deref().map(|own| (own, f.bench_c)));
        let layer = own.filter(|(own, _)| own.place == HeatPlace::Layer);
        let too_hot_at = own.and_then(|(own, _)| match own.place {
            HeatPlace::Cup { too_hot_at } => too_hot_at,
            HeatPlace::Layer => None,
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
            predicted_resin_c: layer.map(|(own, bench_c)| own.celsius_at(now).unwrap_or(bench_c)),
            predicted_peak_c: layer.map(|(own, _)| own.peak_c),
            predicted_peak_at: time(layer.map(|(own, _)| own.peak_at)),
            peak_limit_c: own.map(|(own, _)| own.limit.get()),
            too_hot_to_hold_at: time(too_hot_at),
            note,
            heat_words: own.and_then(|(own, bench_c)| heat_words(own, bench_c, now, zone)),
        }
    }
}

fn in_words(stage: &StageForecast, forecast: &BatchForecast, now: Timestamp, zone: &TimeZone) -> String {
    let Some(at) = stage.reached_at.or(stage.band.likely) else { return never_words(stage, forecast) };
    let clock = |at: Timestamp| {
        let zoned = at.to_zoned_datetime(zone.clone());
        let far = at.duration_since(now).as_hours().abs() >= 14;
        zoned.strftime(if far { "%a %d %b %H:%M" } else { "%H:%M" }).to_string()
    };
    if stage.status == StageStatus::Seen {
        return format!("{}  seen", clock(at));
    }
    let edges = match (stage.band.early, stage.band.late) {
        (Some(early), Some(late)) => format!("  band {} to {}", clock(early), clock(late)),
        _ => String::new(),
    };
    let left = at.duration_since(now);
    let when =
        if left.is_negative() { format!("{} ago", span_words(left)) } else { format!("in {}", span_words(left)) };
    let plain = stage.plain.map(|plain| format!("  (plain {})", clock(plain))).unwrap_or_default();
    let learned = stage.learned_from.map(|_| format!("  {}", stage.source_words())).unwrap_or_default();
    format!("{}  {when}{edges}{plain}{learned}", clock(at))
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
    match &batch.heat_words {
        Some((words, true)) => writeln!(out, "   ! {words} (estimate; the label and a trial cup come first)")?,
        Some((words, false)) => writeln!(out, "   {words} (estimate)")?,
        None => {}
    }
    for stage in &batch.stages {
        writeln!(out, "   {:<18} {}", stage.stage.words(), stage.words)?;
    }
    if batch.stages.iter().any(|stage| stage.plain_likely.is_some() && stage.status != StageStatus::Seen) {
        writeln!(out, "   plain: by the bench alone, without the resin's own heat")?;
    }
    Ok(())
}

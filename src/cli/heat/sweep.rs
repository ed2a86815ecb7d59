//! `nightpour heat --sweep`: every layer of a grid, shared out over all cores.

use super::asked::Asked;
use super::sweep_text::text;
use super::{HeatArgs, HeatError};
use crate::cli::json::print_json;
use crate::cli::look::Look;
use crate::heat::{LayerAsk, MaterialHeat, SweepCell, SweepGrid};
use crate::report::{SweepChart, Verdict};
use crate::units::DosePercent;
use serde::Serialize;
use std::io::{IsTerminal, Write, stderr};
use std::num::NonZeroUsize;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc;
use std::thread;

/// Depths, and doses or temperatures, where nobody says how many.
const STEPS: usize = 20;
/// On a bench sheet, where each is a figure in a cell.
const SHEET_STEPS: usize = 10;
/// Columns of the bar.
const BAR: usize = 40;

/// One point of the grid. Hours are from its pour; null where it never gels.
#[derive(Serialize)]
struct PointJson {
    depth_mm: f64,
    dose_percent: Option<f64>,
    bench_c: f64,
    peak_c: f64,
    peak_at_h: f64,
    gel_h: Option<f64>,
    limit_c: f64,
    over_limit: bool,
    resolved: bool,
}

pub(super) fn run(asked: &Asked, args: &HeatArgs, look: Look, out: &mut impl Write) -> Result<(), HeatError> {
    let steps = args.steps.map_or(STEPS, usize::from);
    // A material that has heat has a thermal cure, and so a grid.
    let Some(chart) = chart(asked, steps, stderr().is_terminal()) else { return Ok(()) };
    if args.json {
        let points: Vec<PointJson> = chart.cells.iter().map(|cell| PointJson::new(&chart, cell)).collect();
        return Ok(print_json(&points, out)?);
    }
    Ok(out.write_all(text(asked, &chart, look).as_bytes())?)
}

/// The smaller grid of a bench sheet.
pub(super) fn for_sheet(asked: &Asked) -> Option<SweepChart> {
    chart(asked, SHEET_STEPS, false)
}

fn chart(asked: &Asked, steps: usize, progress: bool) -> Option<SweepChart> {
    let grid = SweepGrid::around(&asked.profile, asked.layer, steps)?;
    let cells = followed(&asked.material, &grid.asks(), progress);
    Some(SweepChart { grid, cells, limit: asked.limit() })
}

/// Every layer followed, in the order of `asks`.
fn followed(material: &MaterialHeat, asks: &[LayerAsk], progress: bool) -> Vec<SweepCell> {
    let next = AtomicUsize::new(0);
    let workers = thread::available_parallelism().map_or(1, NonZeroUsize::get).min(asks.len());
    let (sender, receiver) = mpsc::channel();
    let mut cells: Vec<(usize, SweepCell)> = thread::scope(|scope| {
        for _ in 0..workers {
            let (sender, next) = (sender.clone(), &next);
            scope.spawn(move || {
                while let Some((place, ask)) = take(asks, next) {
                    // Nobody listens any more only where everything ends.
                    let _ = sender.send((place, SweepCell::of(material, ask)));
                }
            });
        }
        drop(sender);
        let done = receiver.into_iter().enumerate();
        done.inspect(|(done, _)| {
            if progress {
                bar(done + 1, asks.len());
            }
        })
        .map(|(_, cell)| cell)
        .collect()
    });
    cells.sort_unstable_by_key(|(place, _)| *place);
    cells.into_iter().map(|(_, cell)| cell).collect()
}

/// The next layer that nobody has taken.
fn take(asks: &[LayerAsk], next: &AtomicUsize) -> Option<(usize, LayerAsk)> {
    let place = next.fetch_add(1, Ordering::Relaxed);
    asks.get(place).map(|ask| (place, *ask))
}

/// How far it has come, on one line of standard error that is cleared in the end.
fn bar(done: usize, all: usize) {
    let filled = BAR * done / all.max(1);
    let line = if done < all {
        format!("\r[{}{}] {done} of {all}", "#".repeat(filled), " ".repeat(BAR - filled))
    } else {
        format!("\r{:60}\r", "")
    };
    // Where the terminal has gone there is nobody to show it to.
    let _ = stderr().write_all(line.as_bytes()).and_then(|()| stderr().flush());
}

impl PointJson {
    fn new(chart: &SweepChart, cell: &SweepCell) -> Self {
        let SweepCell { ask, peak_c, peak_h, gel_h, resolved } = *cell;
        Self {
            depth_mm: ask.depth.get(),
            dose_percent: ask.dose.map(DosePercent::get),
            bench_c: ask.start.get(),
            peak_c,
            peak_at_h: peak_h,
            gel_h,
            limit_c: chart.limit.get(),
            over_limit: chart.verdict(cell) == Verdict::Over,
            resolved,
        }
    }
}

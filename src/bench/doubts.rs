//! What is written down, yet worth a second look: a reading that jumps, a stage seen far too early, a layer outside its
//! window. The notebook records what was really done; these are remarks, not refusals.

use super::batch::Batch;
use super::entry::Seen;
use super::forecast::forecast;
use super::log::Log;
use super::moment::hours_between;
use super::own_heat::HeatBook;
use crate::material::Stage;
use crate::text::PlainText;
use crate::units::Celsius;
use jiff::Timestamp;
use std::ops::RangeInclusive;

/// What a room where somebody works can be, °C.
pub(super) const BENCH_C: RangeInclusive<f64> = -20.0..=50.0;
/// A room changes slower than this, °C within an hour.
const SUDDEN_C: f64 = 8.0;
/// A stage seen before this share of its earliest expected time is more likely a slip than a fast batch.
const TOO_EARLY: f64 = 0.3;

/// A remark on a reading far from the one an hour or less before it.
pub(super) fn sudden(log: &Log, celsius: Celsius, at: Timestamp) -> Option<PlainText> {
    let last = log.readings().last()?;
    let soon = hours_between(last.at, at).abs() <= 1.0;
    let jump = celsius.get() - last.celsius.get();
    let line = || format!("{jump:+.1} °C against the reading before: is that right? undo takes it back");
    (soon && jump.abs() >= SUDDEN_C).then(|| PlainText::new(&line()))
}

/// Remarks on an observation: far too early, or against one that was written before.
pub(super) fn doubts(
    log: &Log,
    heat: &HeatBook,
    batch: &Batch,
    (stage, seen): (Stage, Seen),
    now: Timestamp,
) -> Vec<PlainText> {
    let mut lines = Vec::new();
    let forecast = forecast(batch, log.readings(), heat.own(batch, log).as_ref(), now);
    let early = forecast.as_ref().and_then(|f| f.stage(stage)?.band.early);
    if let (Some(by), Some(early)) = (seen.reached_by(), early) {
        let (took, expected) = (hours_between(batch.started, by), hours_between(batch.started, early));
        if took < TOO_EARLY * expected {
            lines.push(format!(
                "much earlier than expected: is '{}' the right stage? undo takes it back",
                stage.words()
            ));
        }
    }
    let against = |o: &&super::Observation| {
        o.stage == stage
            && match (o.seen.reached_by(), seen.reached_by()) {
                (Some(reached), None) => seen.not_before().is_some_and(|not_yet| not_yet >= reached),
                (None, Some(reached)) => o.seen.not_before().is_some_and(|not_yet| not_yet >= reached),
                _ => false,
            }
    };
    if batch.observations.iter().any(|o| against(&o)) {
        lines.push("that is against what was written before: the later word counts".to_owned());
    }
    lines.iter().map(|line| PlainText::new(line)).collect()
}

/// A remark on a layer poured at `at` onto `below` before its window opens, or after it has closed.
pub(super) fn window_missed(log: &Log, heat: &HeatBook, below: &Batch, at: Timestamp) -> Option<PlainText> {
    let forecast = forecast(below, log.readings(), heat.own(below, log).as_ref(), at)?;
    let opens = forecast.stage(Stage::NextLayerOpens).filter(|s| s.reached_at.is_none());
    let words = if opens.and_then(|s| s.band.early).is_some_and(|early| at < early) {
        "has probably not set enough to take a layer"
    } else if forecast.window_is_over(at) {
        "has probably passed its window: the bond may be weak"
    } else {
        return None;
    };
    Some(PlainText::new(&format!("{} {} {words}", below.id, below.title())))
}

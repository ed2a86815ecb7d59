//! What the notebook has to tell of a material: looks, and those that are set aside with their reasons.

mod batch;
mod contradiction;
#[cfg(test)]
mod tests;

use super::look::Look;
use crate::bench::{BatchId, EntryId, HeatBook, Log, READING_ERROR, Recalled};
use crate::cure::TemperatureCurve;
use crate::material::{MaterialId, Stage};
use crate::text::PlainText;
use crate::units::{Hours, Millimetres};
use jiff::Timestamp;
use std::sync::Arc;

/// Where a look comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum LookFrom {
    Batch(BatchId),
    /// From before the notebook.
    Recalled(EntryId),
}

/// A look with what the notebook tells beside it.
#[derive(Debug, Clone, PartialEq)]
pub struct Logged {
    pub look: Look,
    pub from: LookFrom,
    pub title: PlainText,
    /// Of a trial cup, not of a piece.
    pub trial: bool,
    pub depth: Option<Millimetres>,
    /// How it was called, without repetition.
    pub tests: Vec<PlainText>,
    /// The entries it was made of.
    pub entries: Vec<EntryId>,
}

/// What is not used, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct SetAside {
    pub from: LookFrom,
    pub title: PlainText,
    pub stage: Stage,
    pub entries: Vec<EntryId>,
    pub why: Why,
}

/// Why something is not used.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Why {
    /// Something was there, and later something that must come with it or before it was not.
    Contradicts { there: (Stage, Timestamp), not_yet: (Stage, Timestamp) },
    /// The bench was not measured near it.
    NotMeasured,
}

/// All of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Gathered {
    pub looks: Vec<Logged>,
    pub set_aside: Vec<SetAside>,
}

impl Gathered {
    /// How many batches the looks are of, those from before the notebook left out.
    pub fn batches(&self) -> usize {
        let of_batch = |from: LookFrom| matches!(from, LookFrom::Batch(_)).then_some(from);
        let mut from: Vec<LookFrom> = self.looks.iter().filter_map(|logged| of_batch(logged.from)).collect();
        from.sort_unstable();
        from.dedup();
        from.len()
    }

    /// How many looks are from before the notebook.
    pub fn remembered(&self) -> usize {
        self.looks.iter().filter(|logged| matches!(logged.from, LookFrom::Recalled(_))).count()
    }
}

/// What `log` tells of `material`; with `before` only what had happened by then, and all that is from before the notebook.
/// `heat` must know its batches.
pub fn gather(log: &Log, heat: &HeatBook, material: &MaterialId, before: Option<Timestamp>) -> Gathered {
    let known = |at: Timestamp| before.is_none_or(|before| at < before);
    let mut gathered = Gathered::default();
    for batch in log.batches().filter(|batch| batch.mix.material == *material && known(batch.started)) {
        batch::gather(batch, log, heat, known, &mut gathered);
    }
    for (entry, recalled) in log.recalled().filter(|(_, recalled)| recalled.material == *material) {
        gathered.looks.push(remembered(entry, recalled));
    }
    gathered
}

/// Hours of not yet and there; a moment is as good as its reading error here, too.
fn ends(recalled: &Recalled) -> (Option<f64>, Option<f64>) {
    let hours = |hours: Option<Hours>| hours.map(Hours::get);
    let (after_h, by_h) = (hours(recalled.after_h), hours(recalled.by_h));
    match (after_h, by_h) {
        (Some(after_h), Some(by_h)) if after_h >= by_h => {
            let off_h = READING_ERROR.as_secs_f64() / 3600.0;
            (Some(by_h - off_h).filter(|after_h| *after_h > 0.0), Some(by_h + off_h))
        }
        ends => ends,
    }
}

fn remembered(entry: EntryId, recalled: &Recalled) -> Logged {
    let (after_h, by_h) = ends(recalled);
    Logged {
        look: Look {
            stage: recalled.stage,
            after_h,
            by_h,
            bench: Arc::new(TemperatureCurve::constant(recalled.celsius)),
            dose: recalled.dose_percent,
            own_heat: 0.0,
            guessed: !recalled.trust.is_sure(),
        },
        from: LookFrom::Recalled(entry),
        title: recalled.source.clone(),
        trial: false,
        depth: recalled.depth_mm,
        tests: recalled.test.iter().cloned().collect(),
        entries: vec![entry],
    }
}

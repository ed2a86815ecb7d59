//! What a user can ask of a piece on the bench.

use super::{Decision, Dose, Refusal, decide_mix, past};
use crate::bench::entry::{Entry, KeptMesh, NewEntry, Part, PieceId};
use crate::bench::log::Log;
use crate::bench::night::PlannedPour;
use crate::bench::own_heat::HeatBook;
use crate::bench::piece::{Poured, Standing, reached_mm};
use crate::bench::words::figure_words;
use crate::material::{Catalogue, MaterialId};
use crate::pour::{LayerPlan, Piece, StepId};
use crate::text::PlainText;
use crate::units::{DosePercent, Level};
use jiff::Timestamp;
use std::cmp::Ordering;

/// A piece to put on the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct NewPiece {
    pub name: PlainText,
    pub material: MaterialId,
    /// The text of its file, as it was read.
    pub toml: String,
    /// What its meshes displace.
    pub meshes: Vec<KeptMesh>,
    pub at: Timestamp,
}

/// A layer to pour into a piece.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NewPour {
    /// Without one: the only piece on the bench.
    pub piece: Option<PieceId>,
    /// To be sure that it is that layer; without one, the next.
    pub layer: Option<u32>,
    pub poured: Poured,
}

/// A dose this far from the planned one is worth a word, as a share of it.
const OFF_PLAN: f64 = 0.25;

/// A pour is a mix with the weights of its plan.
pub(super) fn pour(
    log: &Log,
    catalogue: &Catalogue,
    heat: &HeatBook,
    pour: &NewPour,
    now: Timestamp,
) -> Result<Decision, Refusal> {
    past(pour.poured.at, now)?;
    let on_bench = log.piece_on_bench(pour.piece)?;
    let no_plan = || Refusal::NoPlan(on_bench.id);
    let piece = on_bench.piece.as_ref().ok_or_else(no_plan)?;
    let standing = Standing::of(on_bench, log, catalogue, pour.poured.at).ok_or_else(no_plan)?;
    let full = || Refusal::PieceFull(on_bench.id);
    let layer = standing.next_layer().ok_or_else(full)?;
    let next = layer.number;
    match pour.layer.filter(|layer| *layer != next) {
        Some(layer) if layer < next => Err(Refusal::PouredAlready { layer }),
        Some(layer) => Err(Refusal::NotTheNextLayer { layer, next }),
        None => {
            let weighed_g = pour.poured.weighed_g(layer);
            let reached_mm = reached_mm(piece, layer, weighed_g).ok_or(Refusal::RunsOver { weighed_g })?;
            let mix = standing.next_mix(piece, &pour.poured).ok_or_else(full)?;
            let planned = standing.next_mix(piece, &Poured { catalyst: None, ..pour.poured });
            let mut decision = decide_mix(log, catalogue, heat, mix, now)?;
            let poured = decision.entries.iter().find_map(dose_of);
            let off = poured.zip(planned).and_then(|(dose, planned)| off_plan(dose, planned.dose));
            decision.remarks.extend(off);
            decision.remarks.extend(too_deep(piece, layer, reached_mm));
            decision.remarks.extend(drowned(piece, layer, reached_mm));
            Ok(decision)
        }
    }
}

/// A remark on a layer deeper than its piece asks for, by more than a scale may miss.
fn too_deep(piece: &Piece, layer: &LayerPlan, reached_mm: f64) -> Option<PlainText> {
    let (max, depth_mm) = (piece.layers.max?, reached_mm - layer.cast.from_mm);
    let words =
        || format!("{} mm is deeper than the {max} this piece asks for: it may overheat", figure_words(depth_mm, 1));
    (depth_mm > max.get() * 1.1).then(|| PlainText::new(&words()))
}

/// A remark on what should have been laid in at a level that this pour goes past.
fn drowned(piece: &Piece, layer: &LayerPlan, reached_mm: f64) -> Option<PlainText> {
    // Half a layer over its level an item still goes into the liquid.
    let most_mm = |from_mm: f64| from_mm + layer.cast.depth_mm() / 2.0;
    let over = |from_mm: f64| from_mm > layer.cast.to_mm - 0.01 && reached_mm > most_mm(from_mm);
    let item = piece.items.iter().find(|item| item.bedded && over(item.from.get()))?;
    let (level, name) = (item.from, &item.name);
    Some(PlainText::new(&format!(
        "this goes past {level}, where {name} was to be laid in: lay it in now, or leave it out"
    )))
}

fn dose_of(new: &NewEntry) -> Option<DosePercent> {
    match &new.entry {
        Entry::Mixed(mix) => mix.dose,
        _ => None,
    }
}

/// A remark on a dose that is not the planned one.
fn off_plan(dose: DosePercent, planned: Dose) -> Option<PlainText> {
    let Dose::Percent(planned) = planned else { return None };
    let off = (dose.get() / planned.get() - 1.0).abs() > OFF_PLAN;
    off.then(|| PlainText::new(&format!("dose {dose:.2} where {planned:.2} was planned for this layer")))
}

pub(super) fn start(catalogue: &Catalogue, piece: NewPiece, now: Timestamp) -> Result<Decision, Refusal> {
    past(piece.at, now)?;
    catalogue.find(piece.material.as_str())?;
    let entry = Entry::PieceStarted { name: piece.name, toml: piece.toml, meshes: piece.meshes };
    Ok(written(piece.at, entry))
}

pub(super) fn tick(log: &Log, piece: Option<PieceId>, step: StepId, now: Timestamp) -> Result<Decision, Refusal> {
    let piece = log.piece_on_bench(piece)?;
    if piece.is_ticked(step) {
        return Err(Refusal::TickedAlready(step));
    }
    // A pour is a batch with a clock, not a tick.
    if let StepId::Pour(layer) = step {
        return Err(Refusal::PourIsNoTick(layer));
    }
    Ok(written(now, Entry::Ticked { piece: piece.id, step }))
}

pub(super) fn level(
    log: &Log,
    piece: Option<PieceId>,
    level_mm: Level,
    at: Timestamp,
    now: Timestamp,
) -> Result<Decision, Refusal> {
    past(at, now)?;
    let piece = log.piece_on_bench(piece)?;
    let is_layer = |part: Part| part.layer().is_some_and(|(of, _)| of == piece.id);
    if !log.batches().any(|batch| batch.started <= at && batch.mix.part.is_some_and(is_layer)) {
        return Err(Refusal::NothingPoured(piece.id));
    }
    let brim_mm = piece.piece.as_ref().map_or(f64::INFINITY, |piece| piece.vessel.height_mm());
    if level_mm.get() > brim_mm {
        return Err(Refusal::OverTheBrim { level_mm, brim_mm });
    }
    Ok(written(at, Entry::Levelled { piece: piece.id, level_mm }))
}

/// The remark names what no alarm can be made of: an alarm belongs to the clock of the layer below.
pub(super) fn accept_night(
    log: &Log,
    piece: Option<PieceId>,
    pours: Vec<PlannedPour>,
    now: Timestamp,
) -> Result<Decision, Refusal> {
    let piece = log.piece_on_bench(piece)?.id;
    let first = pours.first().ok_or(Refusal::PieceFull(piece))?;
    let is_layer = |part: Part| part.layer().is_some_and(|(of, _)| of == piece);
    let poured = log.batches().any(|batch| batch.mix.part.is_some_and(is_layer));
    let silent = format!("nothing rings for layer {}: no clock runs before the first pour", first.layer);
    let remarks = if poured { Vec::new() } else { vec![PlainText::new(&silent)] };
    Ok(Decision { remarks, ..written(now, Entry::NightPlanned { piece, pours }) })
}

pub(super) fn finish(log: &Log, piece: Option<PieceId>, now: Timestamp) -> Result<Decision, Refusal> {
    Ok(written(now, Entry::PieceDone { piece: log.piece_on_bench(piece)?.id }))
}

/// Whether a batch can be what `part` says of it.
pub(super) fn check_part(log: &Log, part: Part, material: &MaterialId) -> Result<(), Refusal> {
    let id = match part {
        Part::Layer { piece, .. } | Part::Topping { piece, .. } | Part::Trial { piece: Some(piece) } => piece,
        Part::Trial { piece: None } => return Ok(()),
    };
    let piece = log.piece_on_bench(Some(id))?;
    if let Some(wanted) = piece.piece.as_ref().map(|piece| &piece.material).filter(|wanted| *wanted != material) {
        return Err(Refusal::OtherMaterial { piece: id, wanted: wanted.clone() });
    }
    let Some((_, layer)) = part.layer() else { return Ok(()) };
    let of_piece = log.batches().filter_map(|batch| batch.mix.part?.layer());
    let next = of_piece.filter(|(of, _)| *of == id).map(|(_, number)| number).max().unwrap_or(0) + 1;
    match layer.cmp(&next) {
        Ordering::Less => Err(Refusal::PouredAlready { layer }),
        Ordering::Equal => Ok(()),
        Ordering::Greater => Err(Refusal::NotTheNextLayer { layer, next }),
    }
}

fn written(happened: Timestamp, entry: Entry) -> Decision {
    Decision { entries: vec![NewEntry { happened, entry }], remarks: Vec::new() }
}

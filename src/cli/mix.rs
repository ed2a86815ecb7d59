//! `nightpour mix`: start a batch.

use super::clocks::{BatchFacts, print_batch};
use super::figure::figure;
use super::json::print_json;
use super::shared::{Desk, Failure, Written, batch_named};
use crate::bench::{Command, Dose, HeatBook, Log, NewMix, Part, PieceId, Standing};
use crate::fit::wrapped;
use crate::material::{Catalogue, MaterialId, Profile, Weights};
use crate::pour::CupParts;
use crate::text::PlainText;
use crate::units::{DosePercent, Grams, Millimetres};
use clap::Args;
use jiff::Timestamp;
use serde::Serialize;
use std::io::Write;

/// Columns of the cautions.
const WIDTH: usize = 78;

/// Start a batch: its clock runs from the first contact of the parts
#[derive(Debug, Args)]
pub struct MixArgs {
    /// The material's name, as 'nightpour profiles' lists it
    material: String,

    /// What the batch is for, such as 'layer 3'
    #[arg(long, value_name = "TEXT")]
    label: Option<String>,

    /// Resin in grams, without catalyst (part A of a two-part system)
    #[arg(long, value_name = "G", allow_negative_numbers = true, value_parser = figure::<Grams>)]
    resin_g: Option<Grams>,

    /// Catalyst as weighed, in grams
    #[arg(long, value_name = "G", allow_negative_numbers = true, value_parser = figure::<Grams>, conflicts_with = "dose_percent")]
    catalyst_g: Option<Grams>,

    /// Catalyst in percent of the resin by mass [default: the profile's usual dose]
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = figure::<DosePercent>)]
    dose_percent: Option<DosePercent>,

    /// Depth of the layer in mm
    #[arg(long, value_name = "MM", allow_negative_numbers = true, value_parser = figure::<Millimetres>)]
    depth_mm: Option<Millimetres>,

    /// The batch this layer is poured onto, whose window is then used
    #[arg(long, value_name = "BATCH")]
    onto: Option<String>,

    /// A trial cup, with the dose of the next layer of the piece on the bench: what is seen of it is marked as a trial's
    #[arg(long, conflicts_with = "onto")]
    trial: bool,

    /// First contact of the parts, if not now: 23:40, '2026-03-02 23:40', '20m ago'
    #[arg(long, value_name = "TIME")]
    at: Option<String>,

    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &MixArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let catalogue = desk.catalogue_for(&args.material)?;
    let material = catalogue.find(&args.material)?.profile.id.clone();
    let at = desk.time(args.at.as_deref())?;
    let dose = match (args.dose_percent, args.catalyst_g) {
        (Some(percent), _) => Dose::Percent(percent),
        (None, Some(grams)) => Dose::Weighed(grams),
        (None, None) => Dose::Usual,
    };
    let written = desk.write(&catalogue, |log| {
        Ok(Command::Mix(NewMix {
            material: material.clone(),
            label: args.label.as_deref().map(PlainText::new).unwrap_or_default(),
            resin: args.resin_g,
            dose: trial_dose(args, log, &catalogue, &material, at).unwrap_or(dose),
            depth: args.depth_mm,
            onto: args.onto.as_deref().map(|name| batch_named(log, name)).transpose()?,
            part: args.trial.then(|| Part::Trial { piece: piece_in(log, &material) }),
            at,
        }))
    })?;
    report(args.json, desk, &written, None, out)
}

/// The dose of a trial cup for which none is given: that of the next layer, which it tries.
fn trial_dose(args: &MixArgs, log: &Log, catalogue: &Catalogue, material: &MaterialId, at: Timestamp) -> Option<Dose> {
    if !args.trial || args.dose_percent.is_some() || args.catalyst_g.is_some() {
        return None;
    }
    let on_bench = log.piece(piece_in(log, material)?)?;
    let standing = Standing::of(on_bench, log, catalogue, at)?;
    match &standing.next_layer()?.parts {
        CupParts::Catalysed { chosen, .. } => Some(Dose::Percent(chosen.dose)),
        CupParts::TwoPart { .. } | CupParts::OnePart => None,
    }
}

/// The newest piece on the bench that is cast in `material`: a trial cup of that is for it.
fn piece_in(log: &Log, material: &MaterialId) -> Option<PieceId> {
    let cast_in = |piece: &&crate::bench::BenchPiece| piece.piece.as_ref().is_some_and(|p| p.material == *material);
    log.pieces().rev().find(cast_in).map(|piece| piece.id)
}

/// The new batch as `--json` prints it.
#[derive(Serialize)]
struct MixFacts<'a> {
    #[serde(flatten)]
    batch: &'a BatchFacts,
    remarks: &'a [PlainText],
}

/// Shows the batch that was just started: its clock, its weights, what is odd about it, the cautions. `weights` are those
/// on the scale where they are others than the batch's own.
pub(super) fn report(
    json: bool,
    desk: &Desk,
    written: &Written,
    weights: Option<Weights>,
    out: &mut impl Write,
) -> Result<(), Failure> {
    // The mix just written is the newest batch of the notebook.
    let Some(batch) = written.log.batches().last() else { return Ok(()) };
    let facts = BatchFacts::of(batch, written.log.readings(), &HeatBook::of(&written.log), desk.now, &desk.zone);
    if json {
        return Ok(print_json(&MixFacts { batch: &facts, remarks: &written.remarks }, out)?);
    }
    print_batch(&facts, out)?;
    let own = || batch.profile.as_ref()?.weights(batch.mix.resin?, batch.mix.dose).ok();
    if let Some(weights) = weights.or_else(own) {
        writeln!(out, "   weigh {weights}")?;
    }
    written.tell_remarks(out)?;
    for caution in batch.profile.as_deref().map(cautions).unwrap_or_default() {
        writeln!(out, "{caution}")?;
    }
    Ok(())
}

fn cautions(profile: &Profile) -> Vec<String> {
    profile.cautions.iter().flat_map(|line| wrapped(&format!("Caution: {line}"), WIDTH)).collect()
}

//! `nightpour pour`: pour the next layer of a piece.

use super::figure::figure;
use super::mix;
use super::shared::{Desk, Failure, piece_named};
use crate::bench::{Command, Entry, Log, NewPour, PieceId, Poured, Standing, decide, entry_words, pour_words};
use crate::material::Catalogue;
use crate::units::Grams;
use clap::Args;
use std::io::Write;

/// Pour the next layer of a piece: as planned, or with what was really weighed
#[derive(Debug, Args)]
pub struct PourArgs {
    /// The layer's number, to be sure it is that one
    layer: Option<u32>,

    /// The piece, by its number; not needed while only one is on the bench
    #[arg(long, value_name = "PIECE")]
    piece: Option<String>,

    /// What was weighed out of the master batch, tint included (part A of a two-part system) [default: as planned]
    #[arg(long, value_name = "G", allow_negative_numbers = true, value_parser = figure::<Grams>)]
    resin_g: Option<Grams>,

    /// Catalyst as weighed [default: the planned dose for the resin that was weighed]
    #[arg(long, value_name = "G", allow_negative_numbers = true, value_parser = figure::<Grams>)]
    catalyst_g: Option<Grams>,

    /// First contact of the parts, if not now: 23:40, '20m ago'
    #[arg(long, value_name = "TIME")]
    at: Option<String>,

    /// Only say what to weigh, and what would be written
    #[arg(long, conflicts_with = "json")]
    dry_run: bool,

    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &PourArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let catalogue = desk.shelf().catalogue;
    let poured = Poured { weighed: args.resin_g, catalyst: args.catalyst_g, at: desk.time(args.at.as_deref())? };
    let pour = NewPour { piece: None, layer: args.layer, poured };
    if args.dry_run {
        let log = Log::replay(desk.entries()?);
        return tell_only(NewPour { piece: args.piece(&log)?, ..pour }, &log, &catalogue, desk, out);
    }
    let written = desk.write(&catalogue, |log| Ok(Command::Pour(NewPour { piece: args.piece(log)?, ..pour })))?;
    mix::report(args.json, desk, &written, out)
}

/// What would be written, and what is odd about it.
fn tell_only(
    pour: NewPour,
    log: &Log,
    catalogue: &Catalogue,
    desk: &Desk,
    out: &mut impl Write,
) -> Result<(), Failure> {
    let on_bench = log.piece_on_bench(pour.piece)?;
    let decision = decide(log, catalogue, Command::Pour(pour), desk.now)?;
    if let (Some(standing), Some(piece)) =
        (Standing::of(on_bench, log, catalogue, pour.poured.at), on_bench.piece.as_ref())
    {
        if let Some(items) = standing.to_lay_in(piece) {
            writeln!(out, "lay in first: {items}")?;
        }
        if let Some(layer) = standing.next_layer() {
            writeln!(out, "{}", pour_words(layer))?;
        }
    }
    for new in &decision.entries {
        if !matches!(new.entry, Entry::Profile { .. }) {
            writeln!(out, "it would be: {}", entry_words(&new.entry, log, &desk.zone))?;
        }
    }
    Ok(decision.remarks.iter().try_for_each(|remark| writeln!(out, "! {remark}"))?)
}

impl PourArgs {
    fn piece(&self, log: &Log) -> Result<Option<PieceId>, Failure> {
        Ok(Some(piece_named(log, self.piece.as_deref())?.id))
    }
}

//! `nightpour pour`: pour the next layer of a piece.

use super::figure::figure;
use super::mix;
use super::shared::{Desk, Failure, piece_named};
use crate::bench::{BenchPiece, Command, HeatBook, Log, NewPour, Poured, Refusal, Standing, decide, pour_words};
use crate::material::{Catalogue, Weights};
use crate::report::weighed;
use crate::units::Grams;
use clap::Args;
use jiff::Timestamp;
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

    /// Only say what to weigh; nothing is written
    #[arg(long, conflicts_with = "json")]
    dry_run: bool,

    /// Print JSON
    #[arg(long)]
    json: bool,
}

pub(super) fn run(args: &PourArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let catalogue = desk.shelf().catalogue;
    let poured = Poured { weighed: args.resin_g, catalyst: args.catalyst_g, at: desk.time(args.at.as_deref())? };
    let pour = |log: &Log| {
        let on_bench = piece_named(log, args.piece.as_deref())?;
        // A clock is started on the user's own figures, or not at all.
        on_bench.piece.as_ref().map(|piece| desk.catalogue_for(piece.material.as_str())).transpose()?;
        Ok::<_, Failure>(Command::Pour(NewPour { piece: Some(on_bench.id), layer: args.layer, poured }))
    };
    if args.dry_run {
        let log = Log::replay(desk.entries()?);
        let decision = decide(&log, &catalogue, &HeatBook::default(), pour(&log)?, desk.now)?;
        let (on_bench, standing) = args.standing(&log, &catalogue, poured.at)?;
        let layer = standing.next_layer().ok_or(Refusal::PieceFull(on_bench.id))?;
        if let Some(items) = on_bench.piece.as_ref().and_then(|piece| standing.to_lay_in(piece)) {
            writeln!(out, "lay in first: {items}")?;
        }
        let really = poured.weighed.or(poured.catalyst).and_then(|_| weights(on_bench, &standing, &catalogue, &poured));
        match really {
            Some(weights) => writeln!(out, "pour layer {}: {weights}", layer.number)?,
            None => writeln!(out, "{}", pour_words(layer))?,
        }
        for remark in &decision.remarks {
            writeln!(out, "! {remark}")?;
        }
        return Ok(());
    }
    let mut on_scale = None;
    let written = desk.write(&catalogue, |log| {
        let found = args.standing(log, &catalogue, poured.at).ok();
        on_scale = found.and_then(|(on_bench, standing)| weights(on_bench, &standing, &catalogue, &poured));
        pour(log)
    })?;
    mix::report(args.json, desk, &written, on_scale, out)
}

impl PourArgs {
    /// The piece that is meant, and where it stands at `at`.
    fn standing<'l>(
        &self,
        log: &'l Log,
        catalogue: &Catalogue,
        at: Timestamp,
    ) -> Result<(&'l BenchPiece, Standing), Failure> {
        let on_bench = piece_named(log, self.piece.as_deref())?;
        let standing = Standing::of(on_bench, log, catalogue, at).ok_or(Refusal::NoPlan(on_bench.id))?;
        Ok((on_bench, standing))
    }
}

/// What stands on the scale for the next layer, poured as told.
fn weights(on_bench: &BenchPiece, standing: &Standing, catalogue: &Catalogue, poured: &Poured) -> Option<Weights> {
    let (piece, layer) = (on_bench.piece.as_deref()?, standing.next_layer()?);
    let profile = &catalogue.get(&piece.material)?.profile;
    weighed(layer, profile, &standing.next_mix(piece, poured)?, poured)
}

//! `nightpour done`: a batch, or a piece, needs no more watching.

use super::shared::{Desk, Failure, batch_named, piece_named};
use crate::bench::{Command, Log};
use clap::Args;
use std::io::Write;

/// Finish with a batch, so that its clock and alarms go; or with a piece
#[derive(Debug, Args)]
pub struct DoneArgs {
    /// The batch, by number or label
    #[arg(required_unless_present = "piece")]
    batch: Option<String>,

    /// The piece, by its number; its batches stay
    #[arg(long, value_name = "PIECE", conflicts_with = "batch")]
    piece: Option<String>,
}

pub(super) fn run(args: &DoneArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let written = desk.write(&desk.shelf().catalogue, |log| command(args, log))?;
    Ok(written.tell(&desk.zone, out)?)
}

fn command(args: &DoneArgs, log: &Log) -> Result<Command, Failure> {
    Ok(match &args.batch {
        Some(batch) => Command::Finish { batch: batch_named(log, batch)? },
        None => Command::FinishPiece { piece: Some(piece_named(log, args.piece.as_deref())?.id) },
    })
}

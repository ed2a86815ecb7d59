//! `nightpour tick`: a step of a piece's order of work is done.

use super::shared::{Desk, Failure, piece_named};
use crate::bench::Command;
use crate::pour::StepId;
use clap::Args;
use std::io::Write;

/// Tick a step of a piece's order of work
#[derive(Debug, Args)]
pub struct TickArgs {
    /// The step as 'nightpour plan --json' names it: dry-fit, water-test-30, tint ...
    step: String,

    /// The piece, by its number; not needed while only one is on the bench
    #[arg(long, value_name = "PIECE")]
    piece: Option<String>,
}

pub(super) fn run(args: &TickArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let step: StepId = args.step.parse()?;
    let written = desk.write(&desk.shelf().catalogue, |log| {
        Ok(Command::Tick { piece: Some(piece_named(log, args.piece.as_deref())?.id), step })
    })?;
    Ok(written.tell(&desk.zone, out)?)
}

//! `nightpour level`: where the resin of a piece really stands.

use super::figure::figure;
use super::shared::{Desk, Failure, piece_named};
use crate::bench::Command;
use crate::units::Level;
use clap::Args;
use std::io::Write;

/// Write down where the resin really stands: the layers that are left are planned anew from there
#[derive(Debug, Args)]
pub struct LevelArgs {
    /// Millimetres above the inside of the vessel's floor
    #[arg(value_name = "MM", allow_negative_numbers = true, value_parser = figure::<Level>)]
    level_mm: Level,

    /// The piece, by its number; not needed while only one is on the bench
    #[arg(long, value_name = "PIECE")]
    piece: Option<String>,

    /// When it was measured, if not now: 23:40, '20m ago'
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
}

pub(super) fn run(args: &LevelArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let at = desk.time(args.at.as_deref())?;
    let written = desk.write(&desk.shelf().catalogue, |log| {
        let piece = piece_named(log, args.piece.as_deref())?.id;
        Ok(Command::Level { piece: Some(piece), level_mm: args.level_mm, at })
    })?;
    Ok(written.tell(&desk.zone, out)?)
}

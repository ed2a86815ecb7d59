//! `nightpour done`: a batch needs no more watching.

use super::shared::{Desk, Failure, batch_named};
use crate::bench::Command;
use clap::Args;
use std::io::Write;

/// Finish with a batch: its clock and alarms go
#[derive(Debug, Args)]
pub struct DoneArgs {
    /// The batch, by number or label
    batch: String,
}

pub(super) fn run(args: &DoneArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let written =
        desk.write(&desk.shelf().catalogue, |log| Ok(Command::Finish { batch: batch_named(log, &args.batch)? }))?;
    Ok(written.tell(&desk.zone, out)?)
}

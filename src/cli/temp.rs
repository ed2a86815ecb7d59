//! `nightpour temp`: a bench reading.

use super::figure::figure;
use super::shared::{Desk, Failure};
use crate::bench::Command;
use crate::text::PlainText;
use crate::units::{Celsius, Percent};
use clap::Args;
use std::io::Write;

/// Enter a bench temperature; all clocks follow it
#[derive(Debug, Args)]
pub struct TempArgs {
    /// Degrees Celsius, at the height of the work
    #[arg(value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>)]
    celsius: Celsius,

    /// Relative humidity in percent
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = figure::<Percent>)]
    humidity: Option<Percent>,

    /// When it was read, if not now
    #[arg(long, value_name = "TIME")]
    at: Option<String>,

    /// Where it comes from; readings from 'resin' and 'outdoors' are kept but do not drive
    /// the clocks; what a probe in the resin shows is held against what was predicted
    #[arg(long, value_name = "NAME", default_value = "bench")]
    source: String,
}

pub(super) fn run(args: &TempArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let at = desk.time(args.at.as_deref())?;
    let written = desk.write(&desk.shelf().catalogue, |_| {
        Ok(Command::Read { celsius: args.celsius, humidity: args.humidity, at, source: PlainText::new(&args.source) })
    })?;
    Ok(written.tell(&desk.zone, out)?)
}

//! `nightpour seen`: write down what was seen of a batch.

use super::length::length;
use super::shared::{Desk, Failure, batch_named};
use crate::bench::{Command, Seen, Trust};
use crate::material::Stage;
use crate::text::PlainText;
use crate::units::Hours;
use clap::{ArgGroup, Args};
use std::io::Write;

/// Write down a stage you saw, or that it is not there yet
#[derive(Debug, Args)]
#[command(group(ArgGroup::new("how").args(["by", "between", "not_yet"])))]
pub struct SeenArgs {
    /// pot-life, gel, tack-free, next-layer-opens, next-layer-closes, demould or full-cure
    stage: String,

    /// The batch, by number or label; not needed while only one runs
    #[arg(long, value_name = "BATCH")]
    batch: Option<String>,

    /// When you saw it happen, or looked, if not now: 23:40, '20m ago'
    #[arg(long, value_name = "TIME", conflicts_with_all = ["by", "between"])]
    at: Option<String>,

    /// It was already there when you looked at this time
    #[arg(long, value_name = "TIME")]
    by: Option<String>,

    /// It was not there at the first time, and there at the second
    #[arg(long, num_args = 2, value_names = ["TIME", "TIME"])]
    between: Option<Vec<String>>,

    /// It was not there yet
    #[arg(long)]
    not_yet: bool,

    /// You are not sure: it then weighs less in what is learned
    #[arg(long)]
    guess: bool,

    /// With --at: the moment may be off by so much, such as 5m [default: 2m]
    #[arg(long, value_name = "LENGTH", value_parser = length, requires = "at")]
    within: Option<Hours>,

    /// How you called it, such as 'skewer'
    #[arg(long, value_name = "TEXT")]
    test: Option<String>,
}

pub(super) fn run(args: &SeenArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let stage: Stage = args.stage.parse()?;
    let at = desk.time(args.at.as_deref())?;
    let seen = match (&args.by, args.between.as_deref()) {
        (Some(by), _) => Seen::By { by: desk.time(Some(by))? },
        (None, Some([after, by])) => Seen::Between { after: desk.time(Some(after))?, by: desk.time(Some(by))? },
        (None, _) if args.not_yet => Seen::NotYet { at },
        // Told a time, it was watched; told none, it was found there just now.
        (None, _) if args.at.is_some() => Seen::At { at },
        (None, _) => Seen::By { by: at },
    };
    let written = desk.write(&desk.shelf().catalogue, |log| {
        let batch = args.batch.as_deref().map(|name| batch_named(log, name)).transpose()?;
        let trust = if args.guess { Trust::Guess } else { Trust::Sure };
        let test = args.test.as_deref().map(PlainText::new);
        Ok(Command::Observe { batch, stage, seen, test, trust, within: args.within })
    })?;
    Ok(written.tell(&desk.zone, out)?)
}

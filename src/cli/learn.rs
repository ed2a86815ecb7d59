//! `nightpour learn`: what a shop's own observations say of its materials.

mod file;
mod plain;

use super::figure::figure;
use super::shared::{Desk, Failure};
use crate::learn::{NoFit, RuleForm};
use crate::look_file::BadColumn;
use crate::units::{Celsius, DosePercent};
use clap::{Args, ValueEnum};
use std::io::{self, Write};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  nightpour learn --from settimes.csv --json          fit a table of your own

A table has the columns stage, c, dose_percent, after_h and by_h: hours from first contact at which it was not there yet, and
at which it was. Blank is open, the same twice is that very moment.";

/// What your own observations say of a material, against its label
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct LearnArgs {
    /// Fit the observations of a CSV table, such as stage,c,dose_percent,after_h,by_h
    #[arg(long, value_name = "FILE.csv")]
    from: PathBuf,

    /// Where a fact stands in the table, if not under its own name, such as by_h=Set
    #[arg(long = "column", value_name = "FACT=COLUMN")]
    columns: Vec<String>,

    /// A fact that is the same in every line, such as stage=gel
    #[arg(long = "fixed", value_name = "FACT=VALUE")]
    fixed: Vec<String>,

    /// By the data alone: common practice does not help where they are few
    #[arg(long)]
    no_prior: bool,

    /// The form of the temperature rule
    #[arg(long, value_enum, value_name = "FORM", default_value_t = Form::Activation)]
    rule: Form,

    /// The temperature in °C for which the times are told
    #[arg(long, value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>, default_value = "25")]
    reference_c: Celsius,

    /// The dose for which the times are told, percent of the resin by mass
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = figure::<DosePercent>, default_value = "1")]
    reference_dose_percent: DosePercent,

    /// Print JSON, with units in the key names
    #[arg(long)]
    json: bool,
}

/// How the rate depends on the temperature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Form {
    /// By an activation energy, in kJ/mol
    Activation,
    /// By a factor per 10 °C
    Q10,
}

impl From<Form> for RuleForm {
    fn from(form: Form) -> Self {
        match form {
            Form::Activation => RuleForm::Activation,
            Form::Q10 => RuleForm::Q10,
        }
    }
}

/// Why nothing was learned.
#[derive(Debug, thiserror::Error)]
pub(super) enum LearnError {
    #[error(transparent)]
    Failure(#[from] Failure),
    #[error("--column or --fixed: {0}")]
    Column(#[from] BadColumn),
    #[error("'{file}' cannot be read ({source}). Check the name")]
    Read { file: String, source: io::Error },
    #[error("'{file}' is not used and nothing is written:\n{told}")]
    Table { file: String, told: String },
    #[error("'{file}': {why}")]
    NoFit { file: String, why: NoFit },
}

impl From<io::Error> for LearnError {
    fn from(error: io::Error) -> Self {
        Failure::from(error).into()
    }
}

pub(super) fn run(args: &LearnArgs, _desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    plain::run(args, out)
}

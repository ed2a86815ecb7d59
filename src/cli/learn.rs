//! `nightpour learn`: what a shop's own observations say of its materials.

mod apply;
mod backtest;
mod chart;
mod file;
mod import;
mod json;
mod looks;
mod overview;
mod plain;
mod shop;
mod text;
mod versions;
mod words;

use super::figure::figure;
use super::look::Look as Terminal;
use super::shared::{Desk, Failure};
use crate::learn::{NoFit, NothingLearned, RuleForm, Undetermined};
use crate::look_file::BadColumn;
use crate::material::{MaterialId, NoRewrite, Stage};
use crate::units::{Celsius, DosePercent};
use clap::{ArgGroup, Args, ValueEnum};
use std::io::{self, Write};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  nightpour learn                                     what there is to learn from
  nightpour learn clear-polyester                     your times beside the label's, and why
  nightpour learn clear-polyester --apply             use them from the next batch on
  nightpour learn clear-polyester --back              go back to the figures before
  nightpour learn --backtest                          would it have been right so far?
  nightpour learn clear-polyester --import old.csv --column by_h=Set --dry-run
  nightpour learn --from settimes.csv --no-prior --json    fit a table by itself

A table has the columns stage, c, dose_percent, after_h and by_h: hours from first contact at which it was not there yet, and
at which it was. Blank is open, the same twice is that very moment.";

/// What your own observations say of a material, against its label
#[derive(Debug, Args)]
#[command(
    after_help = EXAMPLES,
    group = ArgGroup::new("do").args(["apply", "back", "backtest", "import", "from"])
)]
pub struct LearnArgs {
    /// The material, as 'nightpour profiles' names it; without one: all that were seen
    material: Option<String>,

    #[command(flatten)]
    apply: ApplyArgs,

    /// Predict every past batch from those before it, and hold that against what was seen
    #[arg(long)]
    backtest: bool,

    /// Write the picture of every stage into an SVG file
    #[arg(long, value_name = "FILE.svg", requires = "material", conflicts_with = "do")]
    svg: Option<PathBuf>,

    #[command(flatten)]
    table: TableArgs,

    #[command(flatten)]
    plain: PlainArgs,

    /// Print JSON, with units in the key names
    #[arg(long)]
    json: bool,
}

/// To use what was learned, or no more.
#[derive(Debug, Args)]
struct ApplyArgs {
    /// Write what was learned into your own profile; batches from now on use it
    #[arg(long, requires = "material")]
    apply: bool,

    /// With --apply: batches that run already use it too
    #[arg(long, requires = "apply")]
    running: bool,

    /// Go back to the figures before the last --apply
    #[arg(long, requires = "material")]
    back: bool,
}

/// To take in a table, and how it is read.
#[derive(Debug, Args)]
struct TableArgs {
    /// Take the observations of a CSV table into the notebook, with the columns told below
    #[arg(long, value_name = "FILE.csv", requires = "material")]
    import: Option<PathBuf>,

    /// With --import: only say what would be written
    #[arg(long, requires = "import")]
    dry_run: bool,

    /// Where a fact stands in the table, if not under its own name, such as 'c=Room'
    #[arg(long = "column", value_name = "FACT=COLUMN")]
    columns: Vec<String>,

    /// A fact that is the same in every line, such as 'stage=gel'
    #[arg(long = "fixed", value_name = "FACT=VALUE")]
    fixed: Vec<String>,
}

/// To fit a table by itself.
#[derive(Debug, Args)]
struct PlainArgs {
    /// Fit the observations of a CSV table by themselves, without notebook or profile
    #[arg(long, value_name = "FILE.csv", conflicts_with = "material")]
    from: Option<PathBuf>,

    /// With --from: by the data alone; common practice does not help where they are few
    #[arg(long, requires = "from")]
    no_prior: bool,

    /// With --from: the form of the temperature rule
    #[arg(long, value_enum, value_name = "FORM", default_value_t = Form::Activation)]
    rule: Form,

    /// With --from: the temperature in °C for which the times are told
    #[arg(long, value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>, default_value = "25")]
    reference_c: Celsius,

    /// With --from: the dose for which the times are told, percent of the resin by mass
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = figure::<DosePercent>, default_value = "1")]
    reference_dose_percent: DosePercent,
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
    #[error("'{0}' is set by light alone: it has no times to learn")]
    Light(MaterialId),
    #[error("{material}: {why}")]
    Nothing { material: MaterialId, why: NothingLearned },
    #[error("the looks at {0} cannot be fitted; 'nightpour notebook' lists them, and undo takes a wrong one back")]
    Undetermined(MaterialId),
    #[error("nothing is written: {0}")]
    NoRewrite(#[from] NoRewrite),
    #[error("'{path}' cannot be written ({source}), and nothing is changed")]
    Write { path: String, source: io::Error },
    #[error("there is nothing to go back to: no figures of {0} were learned here")]
    NothingBefore(MaterialId),
    #[error("'{0}' is no name for a picture, and nothing is written; give one that ends in .svg")]
    NotSvg(String),
    #[error(
        "'{file}' has {total} observations, counted as its 'count' says; 20000 fit at once. Is that column a count?"
    )]
    TooMany { file: String, total: u64 },
    #[error("line {line} of '{file}' says no stage; add a column for it, or --fixed stage=gel")]
    NoStage { file: String, line: usize },
    #[error("line {line} of '{file}': {material} has no stage '{stage}'")]
    NoSuchStage { file: String, line: usize, material: MaterialId, stage: Stage },
}

impl From<io::Error> for LearnError {
    fn from(error: io::Error) -> Self {
        Failure::from(error).into()
    }
}

impl LearnError {
    fn undetermined(material: &MaterialId) -> impl Fn(Undetermined) -> Self {
        move |Undetermined| LearnError::Undetermined(material.clone())
    }
}

pub(super) fn run(args: &LearnArgs, desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    if let Some(path) = &args.plain.from {
        return plain::run(path, args, out);
    }
    if args.backtest {
        return backtest::run(args, desk, out);
    }
    let Some(material) = args.material.as_deref() else { return overview::run(args.json, desk, out) };
    if let Some(path) = &args.table.import {
        return import::run(material, path, args, desk, out);
    }
    if args.apply.back {
        return apply::back(material, args.json, desk, out);
    }
    let shop = shop::Shop::of(material, desk)?;
    if args.apply.apply {
        return apply::run(&shop, args, desk, out);
    }
    if let Some(path) = &args.svg {
        return chart::write(&shop, path, out);
    }
    if args.json {
        return Ok(super::json::print_json(&json::ShopJson::new(&shop, desk), out)?);
    }
    Ok(out.write_all(text::text(&shop, desk, Terminal::of_stdout()).as_bytes())?)
}

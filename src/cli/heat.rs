//! `nightpour heat`: how hot a layer, a piece or a cup gets, and what to do about it.

mod asked;
mod case;
mod chart;
mod cup;
mod json;
mod suggest;
mod suggest_json;
mod sweep;
mod sweep_text;
mod text;

use super::figure::figure;
use super::json::print_json;
use super::length::length;
use super::look::Look;
use super::shared::{Desk, Failure};
use crate::folders::Trouble;
use crate::heat::NoHeat;
use crate::material::{MaterialId, Profile};
use crate::pour::{Piece, Plan};
use crate::report::HowHot;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams, Hours, Millimetres};
use asked::{Asked, Heated};
use clap::{ArgGroup, Args};
use std::io::{self, Write};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  nightpour heat column.toml                     every layer of a piece, one after another
  nightpour heat --material clear-polyester --depth-mm 15             one layer alone
  nightpour heat --material clear-polyester --depth-mm 15 --sweep     depth against dose
  nightpour heat --material clear-polyester --depth-mm 15 --suggest   what else to pour
  nightpour heat --material five-minute-epoxy --cup-g 150             a full cup
  nightpour heat --case slab.toml --json         a bare case, to check the solver with

A prediction is never a promise of safety: the label and a trial cup come first.";

/// How hot it gets: layers, whole pieces, cups left standing
#[derive(Debug, Args)]
#[command(
    after_help = EXAMPLES,
    group = ArgGroup::new("of").required(true).args(["piece", "material", "case"]),
    group = ArgGroup::new("what").args(["sweep", "suggest", "cup_g"])
)]
pub struct HeatArgs {
    /// The piece file: its layers are poured one after another
    piece: Option<PathBuf>,

    /// Instead of a piece: one wide layer of this material by itself, as 'nightpour profiles' names it
    #[arg(long, value_name = "NAME")]
    material: Option<String>,

    /// Depth of that layer in mm
    #[arg(
        long, value_name = "MM", allow_negative_numbers = true, value_parser = figure::<Millimetres>,
        conflicts_with_all = ["piece", "case"],
        required_unless_present_any = ["piece", "case", "cup_g", "sweep"]
    )]
    depth_mm: Option<Millimetres>,

    /// Catalyst in percent of the resin by mass [default: the profile's usual dose]
    #[arg(long, value_name = "P", allow_negative_numbers = true, value_parser = figure::<DosePercent>, conflicts_with_all = ["piece", "case"])]
    dose_percent: Option<DosePercent>,

    /// Temperature of bench and resin, in °C [default: the piece's, else the material's reference]
    #[arg(long, value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>)]
    bench_c: Option<Celsius>,

    /// Peaks over depth and dose, or over depth and bench temperature; of a piece round its deepest layer
    #[arg(long)]
    sweep: bool,

    /// For --sweep: so many depths, and so many doses [default: 20]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(2..=60), requires = "sweep")]
    steps: Option<u16>,

    /// How deep at this dose, what dose at this depth, in how many layers it stays coolest; of a piece for its deepest layer
    #[arg(long)]
    suggest: bool,

    /// For --suggest: it must not get hotter, in °C [default: the profile's limit, and the items' of a piece]
    #[arg(long, value_name = "C", allow_negative_numbers = true, value_parser = figure::<Celsius>, requires = "suggest")]
    limit_c: Option<Celsius>,

    /// For --suggest: it has to gel within this time, such as 90m [default: twice the gel time of the profile]
    #[arg(long, value_name = "TIME", value_parser = length, requires = "suggest")]
    gel_within: Option<Hours>,

    /// What happens to so many grams, mixed and left in their cup
    #[arg(long, value_name = "G", allow_negative_numbers = true, value_parser = figure::<Grams>)]
    cup_g: Option<Grams>,

    /// A bare case of conduction and reaction: a slab between two faces, from a file
    #[arg(long, value_name = "FILE", conflicts_with_all = ["bench_c", "what"])]
    case: Option<PathBuf>,

    /// Print JSON, with units in the key names
    #[arg(long)]
    json: bool,
}

/// Why nothing is said of the heat.
#[derive(Debug, thiserror::Error)]
pub(super) enum HeatError {
    #[error(transparent)]
    Failure(#[from] Failure),
    #[error("nothing can be said of the heat of '{material}': {why}")]
    NoHeat { material: MaterialId, why: NoHeat },
    #[error("'{piece}': the room inside its vessel is too small to work out how hot it gets")]
    NoRoom { piece: PlainText },
    #[error("'{piece}' has no layer to pour")]
    NoLayer { piece: PlainText },
    #[error("'{material}' has no dose to choose: its parts are mixed as they come. Leave --dose-percent out")]
    NoDose { material: MaterialId },
    #[error("the case file '{file}' cannot be used: {trouble}")]
    CaseFile { file: String, trouble: Trouble },
}

impl From<io::Error> for HeatError {
    fn from(error: io::Error) -> Self {
        Failure::from(error).into()
    }
}

pub(super) fn run(args: &HeatArgs, desk: &Desk, out: &mut impl Write) -> Result<(), HeatError> {
    if let Some(file) = &args.case {
        return case::run(file, args.json, out);
    }
    let look = Look::of_stdout();
    let asked = Asked::read(args, desk)?;
    if args.sweep {
        return sweep::run(&asked, args, look, out);
    }
    if args.suggest {
        return suggest::run(&asked, args, out);
    }
    if let Some(mass) = args.cup_g {
        return cup::run(&asked, mass, args.json, look, out);
    }
    let heated = asked.heated()?;
    if args.json {
        return Ok(print_json(&json::HeatJson::new(&heated), out)?);
    }
    Ok(out.write_all(text::text(&heated, look).as_bytes())?)
}

/// What a bench sheet says of the heat, or why it says nothing.
pub(super) fn how_hot(piece: &Piece, profile: &Profile, plan: &Plan) -> Result<HowHot, String> {
    let asked = Asked::of_piece(piece, profile, plan).map_err(|error| error.to_string())?;
    let Heated { heat, .. } = asked.heated().map_err(|error| error.to_string())?;
    Ok(HowHot { piece: heat, doses: asked.layer.dose.and_then(|_| sweep::for_sheet(&asked)) })
}

//! `nightpour plan`: a piece worked out before anything is mixed.

mod json;
mod sheet_file;
mod text;

use super::figure::figure;
use super::heat::how_hot;
use super::json::print_json;
use super::piece_file::PieceFile;
use super::shared::{Desk, Failure};
use crate::material::Profile;
use crate::pour::{Conditions, Piece, Progress, Warning, WarningCode, plan};
use crate::report::{BenchFrom, Report, sheet};
use crate::units::Celsius;
use clap::Args;
use sheet_file::{SheetError, SheetFile};
use std::io::{self, Write};
use std::path::PathBuf;

const EXAMPLES: &str = "Examples:
  nightpour plan column.toml                          layers, weights, warnings, order of work
  nightpour plan column.toml --bench-c 17.5           the same for a cool bench
  nightpour plan column.toml --html column.html       a sheet to print, tick and write on

Nothing is put on the bench; 'nightpour start column.toml' does that.
Every figure is an estimate: the label and a trial cup come first.";

/// Plan a piece before anything is mixed: layers, weights, doses, warnings, order of work
#[derive(Debug, Args)]
#[command(after_help = EXAMPLES)]
pub struct PlanArgs {
    /// The piece file
    piece: PathBuf,

    /// Bench temperature to plan for, in °C [default: the piece's, else the material's reference]
    #[arg(long, value_name = "C", value_parser = figure::<Celsius>, allow_negative_numbers = true)]
    bench_c: Option<Celsius>,

    /// Print JSON, with units in the key names
    #[arg(long)]
    json: bool,

    /// Write a bench sheet to print: one HTML file, its name ending in .html or .htm
    #[arg(long, value_name = "FILE")]
    html: Option<PathBuf>,
}

/// Why nothing was planned, or not written.
#[derive(Debug, thiserror::Error)]
pub(super) enum PlanError {
    #[error(transparent)]
    Failure(#[from] Failure),
    #[error(transparent)]
    Sheet(#[from] SheetError),
}

impl From<io::Error> for PlanError {
    fn from(error: io::Error) -> Self {
        Failure::from(error).into()
    }
}

pub(super) fn run(args: &PlanArgs, desk: &Desk, out: &mut impl Write) -> Result<(), PlanError> {
    let sheet_file = args.html.as_deref().map(|path| SheetFile::at(path, &args.piece)).transpose()?;
    let file = PieceFile::read(&args.piece, desk)?;
    let item = file.material()?;
    let conditions = Conditions { bench: args.bench_c, progress: Progress::default() };
    let mut plan = plan(&file.piece, &item.profile, &conditions);
    // A sheet or a program that reads the plan has not seen what was told on standard error.
    let odd = file
        .warnings
        .iter()
        .map(|odd| Warning::of_piece(WarningCode::PieceFile, &format!("{}; {}", odd.what, odd.remedy)));
    plan.warnings.splice(0..0, odd);
    let report = Report {
        piece: &file.piece,
        profile: &item.profile,
        origin: &item.origin,
        plan: &plan,
        bench_from: bench_from(args, &file.piece, &item.profile),
    };
    let written = match sheet_file {
        Some(to) => Some(to.write(&sheet(&report, &how_hot(&file.piece, &item.profile, &plan)))?),
        None => None,
    };
    if args.json {
        return Ok(print_json(&json::PlanJson::new(&report), out)?);
    }
    match written {
        Some(path) => {
            writeln!(out, "The bench sheet of {} is in {path}", report.piece.name)?;
            out.write_all(text::warnings_alone(&report).as_bytes())?;
        }
        None => out.write_all(text::text(&report).as_bytes())?,
    }
    Ok(())
}

/// Where the temperature comes from that [`plan`] takes.
fn bench_from(args: &PlanArgs, piece: &Piece, profile: &Profile) -> BenchFrom {
    if args.bench_c.is_some() {
        BenchFrom::Asked
    } else if piece.bench.is_some() {
        BenchFrom::Piece
    } else if profile.thermal().is_some() {
        BenchFrom::Profile
    } else {
        BenchFrom::Room
    }
}

//! `nightpour heat --case`: a bare case, so that anybody can hold the solver against figures of their own.

use super::HeatError;
use crate::cli::json::print_json;
use crate::cli::page::Page;
use crate::cli::problems::{Weight, tell};
use crate::folders::{Trouble, read_text};
use crate::heat::{CaseAnswer, read_case};
use crate::report::{NOT_RESOLVED, Said};
use crate::text::printable;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

/// The keys are a promise.
#[derive(Serialize)]
struct CaseJson {
    centre_peak_c: f64,
    centre_peak_s: f64,
    top_face_peak_c: f64,
    t_half_centre_s: Option<f64>,
    resolved: bool,
    grid_error_c: f64,
    energy_error: f64,
}

/// Solves the case in the file at `path` and prints what comes out.
pub(super) fn run(path: &Path, json: bool, out: &mut impl Write) -> Result<(), HeatError> {
    let file = printable(&path.to_string_lossy());
    let bad = |trouble| HeatError::CaseFile { file: file.clone(), trouble };
    let source = read_text(path).map_err(bad)?;
    let read = read_case(&source).map_err(|problems| {
        tell(&file, &source, &problems, Weight::Problem);
        bad(Trouble::Problems(problems))
    })?;
    tell(&file, &source, &read.warnings, Weight::Warning);
    let answer = read.value.answer();
    if json {
        return Ok(print_json(&CaseJson::from(answer), out)?);
    }
    Ok(out.write_all(text(&file, &answer).as_bytes())?)
}

impl From<CaseAnswer> for CaseJson {
    fn from(answer: CaseAnswer) -> Self {
        Self {
            centre_peak_c: answer.centre_peak_c,
            centre_peak_s: answer.centre_peak_s,
            top_face_peak_c: answer.top_face_peak_c,
            t_half_centre_s: answer.t_half_centre_s,
            resolved: answer.resolved,
            grid_error_c: answer.grid_error_c,
            energy_error: answer.energy_error,
        }
    }
}

fn text(file: &str, answer: &CaseAnswer) -> String {
    let said = |about: &str, words: String| Said { about: about.to_owned(), words };
    let half = answer.t_half_centre_s.map_or_else(|| "not within the time".to_owned(), |s| format!("after {s:.1} s"));
    let mut page = Page::default();
    page.words("", file);
    page.said(&[
        said("centre", format!("hottest at {:.3} °C, after {:.1} s", answer.centre_peak_c, answer.centre_peak_s)),
        said("top face", format!("hottest at {:.3} °C", answer.top_face_peak_c)),
        said("half reacted", format!("at the centre, {half}")),
        said("grid", format!("two grids differ by {:.4} °C", answer.grid_error_c)),
        said("energy", format!("{:.2e} of the heat is unaccounted for", answer.energy_error)),
    ]);
    if !answer.resolved {
        page.words("! ", NOT_RESOLVED);
    }
    page.finished()
}

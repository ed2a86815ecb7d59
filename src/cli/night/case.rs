//! A bare case of slots and windows, to hold the search against others.

use super::NightError;
use crate::cli::json::print_json;
use crate::night::solve::{Problem, Search, Solution};
use crate::text::printable;
use serde::Serialize;
use std::io::Write;
use std::path::Path;

#[derive(Debug, Serialize)]
struct CaseJson {
    /// Null where nothing fits.
    cost_hundredths: Option<u32>,
    finish_min: Option<u32>,
    risk_thousandths: Option<u32>,
    doses_away: Option<u32>,
    pours: Vec<PlacedJson>,
}

#[derive(Debug, Serialize)]
struct PlacedJson {
    slot: u16,
    bed: usize,
    choice: usize,
    wakes: bool,
    sanded: bool,
}

pub(super) fn run(path: &Path, out: &mut impl Write) -> Result<(), NightError> {
    let file = printable(&path.to_string_lossy());
    // Its tables are larger than any file of a user's.
    let text = std::fs::read_to_string(path).map_err(|source| NightError::CaseFile { file: file.clone(), source })?;
    let bad = |what: &str| NightError::BadCase { file: file.clone(), what: what.to_owned() };
    let problem: Problem = serde_json::from_str(&text).map_err(|error| bad(&printable(&error.to_string())))?;
    if !problem.fits() {
        return Err(bad("its slots, layers, prices or doses are more than can be counted, or do not go together"));
    }
    let solution = Search::new(&problem).best();
    let away = |solution: &Solution| {
        let placed = solution.pours.iter().zip(&problem.layers);
        placed.map(|(placed, layer)| u32::from(layer.beds[placed.bed][placed.choice].away)).sum()
    };
    let facts = CaseJson {
        cost_hundredths: solution.as_ref().map(|found| found.cost(&problem)),
        finish_min: solution.as_ref().map(|found| found.finish),
        risk_thousandths: solution.as_ref().map(|found| found.risk),
        doses_away: solution.as_ref().map(away),
        pours: solution.map(|found| found.pours).unwrap_or_default().into_iter().map(PlacedJson::from).collect(),
    };
    Ok(print_json(&facts, out)?)
}

impl From<crate::night::solve::Placed> for PlacedJson {
    fn from(placed: crate::night::solve::Placed) -> Self {
        let crate::night::solve::Placed { slot, bed, choice, wakes, sanded } = placed;
        Self { slot, bed, choice, wakes, sanded }
    }
}

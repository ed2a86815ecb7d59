//! `learn --from`: the fit of a table by itself, without notebook or profile.

mod json;
mod text;

use super::{LearnArgs, LearnError, file};
use crate::cli::json::print_json;
use crate::learn::{PlainAsk, PlainLook, fit_plain};
use crate::look_file::LookRow;
use std::io::Write;
use std::path::Path;

pub(super) fn run(path: &Path, args: &LearnArgs, out: &mut impl Write) -> Result<(), LearnError> {
    let map = file::column_map(&args.table.columns, &args.table.fixed)?;
    let looks: Vec<PlainLook> = file::rows(path, &map)?.iter().map(plain).collect();
    let ask = PlainAsk {
        form: args.plain.rule.into(),
        reference: args.plain.reference_c,
        reference_dose: args.plain.reference_dose_percent,
        prior: !args.plain.no_prior,
    };
    let fit = fit_plain(&looks, &ask).map_err(|why| LearnError::NoFit { file: file::shown(path), why })?;
    if args.json {
        return Ok(print_json(&json::PlainJson::new(&fit, &ask), out)?);
    }
    Ok(out.write_all(text::text(&fit, &ask).as_bytes())?)
}

fn plain(row: &LookRow) -> PlainLook {
    PlainLook { stage: row.stage, celsius: row.celsius, dose: row.dose, after: row.after, by: row.by, count: row.count }
}

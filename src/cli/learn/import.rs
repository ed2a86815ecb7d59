//! `learn MATERIAL --import`: observations from before the notebook.

use super::text::counted;
use super::{LearnArgs, LearnError, file};
use crate::bench::{Entry, Log, NewEntry, Recalled, Trust, entry_words};
use crate::cli::json::print_json;
use crate::cli::shared::{Desk, Failure};
use crate::look_file::LookRow;
use crate::material::{Profile, ThermalCure};
use crate::text::PlainText;
use std::io::Write;
use std::path::Path;

/// A notebook is for what somebody has seen; what is larger is another kind of table.
const MOST_AT_ONCE: u64 = 20_000;

pub(super) fn run(
    material: &str,
    path: &Path,
    args: &LearnArgs,
    desk: &Desk,
    out: &mut impl Write,
) -> Result<(), LearnError> {
    let catalogue = desk.catalogue_for(material)?;
    let profile = &catalogue.find(material).map_err(Failure::from)?.profile;
    let cure = profile.thermal().ok_or_else(|| LearnError::Light(profile.id.clone()))?;
    let map = file::column_map(&args.table.columns, &args.table.fixed)?;
    let rows = file::rows(path, &map)?;
    let no_dose = cure.reference_dose.is_none() && rows.iter().any(|row| row.dose.is_some());
    let total: u64 = rows.iter().map(|row| u64::from(row.count)).sum();
    if total > MOST_AT_ONCE {
        return Err(LearnError::TooMany { file: file::shown(path), total });
    }
    let mut all = Vec::new();
    for row in rows {
        let recalled = recalled(&row, path, profile, cure)?;
        let count = usize::try_from(row.count).unwrap_or(usize::MAX);
        all.extend(std::iter::repeat_n(recalled, count));
    }
    let log = Log::replay(desk.entries().map_err(Failure::from)?);
    let new = not_known(&log, all.clone());
    let known = all.len() - new.len();
    if !args.table.dry_run && !new.is_empty() {
        write(&new, desk)?;
    }
    if args.json {
        let told = serde_json::json!({
            "material": profile.id.as_str(), "rows": all.len(), "written": if args.table.dry_run { 0 } else { new.len() },
            "new": new.len(), "known_already": known, "dry_run": args.table.dry_run,
        });
        return Ok(print_json(&told, out)?);
    }
    if no_dose {
        writeln!(out, "! {} takes no dose; those of the table are left out.", profile.id)?;
    }
    if args.table.dry_run {
        for recalled in &new {
            writeln!(out, "{}", entry_words(&Entry::Recalled(recalled.clone()), &log, &desk.zone))?;
        }
    }
    let would = if args.table.dry_run { "would be written; nothing is" } else { "written" };
    writeln!(out, "{} {would}.", counted(new.len(), "observation", "observations"))?;
    if known > 0 {
        writeln!(out, "{} in the notebook already and left out.", counted(known, "is", "are"))?;
    }
    if !args.table.dry_run {
        writeln!(out, "'nightpour learn {}' says what they tell.", profile.id)?;
    }
    Ok(())
}

fn recalled(row: &LookRow, path: &Path, profile: &Profile, cure: &ThermalCure) -> Result<Recalled, LearnError> {
    let file = || file::shown(path);
    let stage = row.stage.ok_or_else(|| LearnError::NoStage { file: file(), line: row.line })?;
    if cure.stage(stage).is_none() {
        let material = profile.id.clone();
        return Err(LearnError::NoSuchStage { file: file(), line: row.line, material, stage });
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    Ok(Recalled {
        material: profile.id.clone(),
        stage,
        after_h: row.after.filter(|after| after.get() > 0.0),
        by_h: row.by,
        celsius: row.celsius,
        dose_percent: row.dose.filter(|_| cure.reference_dose.is_some()),
        depth_mm: row.depth,
        test: row.test.clone(),
        trust: if row.guessed { Trust::Guess } else { Trust::Sure },
        source: PlainText::new(&format!("{name} line {}", row.line)),
    })
}

/// Those of `all` that the notebook does not hold: a table that has grown can be taken in again. What it holds twice counts
/// twice.
fn not_known(log: &Log, all: Vec<Recalled>) -> Vec<Recalled> {
    let mut known: Vec<&Recalled> = log.recalled().map(|(_, recalled)| recalled).collect();
    let mut is_new = |recalled: &Recalled| match known.iter().position(|known| *known == recalled) {
        Some(place) => {
            known.swap_remove(place);
            false
        }
        None => true,
    };
    all.into_iter().filter(|recalled| is_new(recalled)).collect()
}

/// All of them in one step: nothing is written when one cannot be.
fn write(new: &[Recalled], desk: &Desk) -> Result<(), LearnError> {
    let entry = |recalled: &Recalled| NewEntry { happened: desk.now, entry: Entry::Recalled(recalled.clone()) };
    let entries: Vec<NewEntry> = new.iter().map(entry).collect();
    let mut notebook = desk.notebook().map_err(Failure::from)?;
    notebook.append(&entries, desk.now).map_err(Failure::from)?;
    Ok(())
}

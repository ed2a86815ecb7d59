//! `learn MATERIAL --apply` and `--back`: the user's own profile with what was learned, and without it.

use super::shop::Shop;
use super::text::counted;
use super::versions::Versions;
use super::{LearnArgs, LearnError};
use crate::bench::{Batch, BatchId, Command, Log};
use crate::cli::json::print_json;
use crate::cli::shared::{Desk, Failure};
use crate::material::{Catalogue, Fingerprint, MaterialId, Origin, fingerprint, rewrite};
use crate::text::PlainText;
use std::io::Write;

pub(super) fn run(shop: &Shop, args: &LearnArgs, desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    let id = shop.id();
    let today = desk.now.to_zoned_datetime(desk.zone.clone()).date().to_string();
    let refined = shop.fit.refinement(PlainText::new(&today), shop.gathered.batches());
    let refined = refined.map_err(|why| LearnError::Nothing { material: id.clone(), why })?;
    let text = rewrite(&shop.item.source, &shop.item.profile, &refined.changes)?;
    let versions = Versions::of(id, &desk.folders);
    let file = super::file::shown(versions.file());
    if text != shop.item.source {
        versions.replace(&shop.item, &text).map_err(|source| LearnError::Write { path: file.clone(), source })?;
    }
    let running = on_former_figures(&shop.log, id, &fingerprint(&text));
    let moved = if args.apply.running { adopt(&running, id, desk)? } else { Vec::new() };
    if args.json {
        let order: Vec<&str> = refined.kept_in_order.iter().map(|stage| stage.key()).collect();
        let moved: Vec<u32> = moved.iter().map(|batch| batch.0).collect();
        let applied = serde_json::json!({
            "material": id.as_str(), "file": file, "observations": refined.changes.observations,
            "batches": refined.changes.batches, "kept_in_order": order, "running_batches_moved": moved,
        });
        return Ok(print_json(&applied, out)?);
    }
    writeln!(out, "{file}\nis the profile in use from now on, learned from {}.", {
        counted(refined.changes.observations as usize, "look", "looks")
    })?;
    for stage in &refined.kept_in_order {
        writeln!(
            out,
            "! {} would have come before a stage it follows from; it is put where that one is",
            stage.words()
        )?;
    }
    match (running.len(), args.apply.running) {
        (0, _) => {}
        (n, true) => writeln!(out, "{} that runs already uses it too.", counted(n, "batch", "batches"))?,
        (n, false) => writeln!(
            out,
            "{} that runs keeps the figures it was started with; --running would have moved it.",
            counted(n, "batch", "batches")
        )?,
    }
    Ok(writeln!(out, "'nightpour learn {id} --back' goes back to the figures before.")?)
}

pub(super) fn back(material: &str, json: bool, desk: &Desk, out: &mut impl Write) -> Result<(), LearnError> {
    let id = MaterialId::meant(material).map_err(|_| unknown(material, desk))?;
    let embedded = Catalogue::embedded();
    let versions = Versions::of(&id, &desk.folders);
    let file = super::file::shown(versions.file());
    let back = versions.back(embedded.get(&id)).map_err(|source| LearnError::Write { path: file, source })?;
    let origin = back.ok_or_else(|| LearnError::NothingBefore(id.clone()))?;
    if json {
        let file = match &origin {
            Origin::Embedded => None,
            Origin::File(path) => Some(path),
        };
        return Ok(print_json(&serde_json::json!({ "material": id.as_str(), "file": file }), out)?);
    }
    match origin {
        Origin::Embedded => writeln!(out, "The built-in figures of {id} are in use again.")?,
        Origin::File(path) => writeln!(out, "{path}\nis what it was before the last --apply.")?,
    }
    Ok(())
}

/// The error of a name that is no material.
fn unknown(material: &str, desk: &Desk) -> LearnError {
    match desk.shelf().catalogue.find(material) {
        Err(error) => Failure::from(error).into(),
        Ok(item) => LearnError::NothingBefore(item.profile.id.clone()),
    }
}

/// Running batches of the material that run on other figures than `now`.
fn on_former_figures(log: &Log, id: &MaterialId, now: &Fingerprint) -> Vec<BatchId> {
    let former = |batch: &&Batch| batch.mix.material == *id && batch.mix.profile != *now;
    log.running().filter(former).map(|batch| batch.id).collect()
}

/// Moves the batches to the figures as they are now.
fn adopt(batches: &[BatchId], id: &MaterialId, desk: &Desk) -> Result<Vec<BatchId>, LearnError> {
    let catalogue = desk.catalogue_for(id.as_str())?;
    for batch in batches {
        desk.write(&catalogue, |_| Ok(Command::Adopt { batch: *batch }))?;
    }
    Ok(batches.to_vec())
}

//! What one batch has to tell: for each stage that somebody looked for, all looks joined to one span.

use super::contradiction::{Bounds, contradictions};
use super::{Gathered, Logged, LookFrom, SetAside, Why};
use crate::bench::{Batch, EntryId, HeatBook, Log, Observation, Part, hours_between, own_heat_share};
use crate::learn::look::Look;
use crate::material::Stage;
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;

/// A reading further from a batch than this says nothing of its bench.
const NEAR: SignedDuration = SignedDuration::from_hours(6);

pub(super) fn gather(
    batch: &Batch,
    log: &Log,
    heat: &HeatBook,
    known: impl Fn(Timestamp) -> bool,
    into: &mut Gathered,
) {
    let last_look = |observation: &Observation| observation.seen.reached_by().or(observation.seen.not_before());
    let told = batch.observations.iter().filter(|observation| last_look(observation).is_none_or(&known));
    let all: Vec<Bounds<'_>> = told.map(Bounds::of).collect();
    let title = PlainText::new(batch.title());
    let from = LookFrom::Batch(batch.id);
    let aside = |stage, entries, why| SetAside { from, title: title.clone(), stage, entries, why };
    let mut standing = Vec::new();
    for (bounds, contradicted) in all.iter().zip(contradictions(&all)) {
        match contradicted {
            Some(why) => into.set_aside.push(aside(bounds.of.stage, vec![bounds.of.entry], why)),
            None => standing.push(*bounds),
        }
    }
    for stage in Stage::ALL {
        let own: Vec<&Bounds<'_>> = standing.iter().filter(|bounds| bounds.of.stage == stage).collect();
        if own.is_empty() {
            continue;
        }
        let mut entries: Vec<EntryId> = own.iter().map(|bounds| bounds.of.entry).collect();
        let not_yet = standing.iter().filter(|bounds| bounds.denies(stage)).filter_map(|bounds| bounds.not_yet).max();
        let there = standing.iter().filter(|bounds| bounds.proves(stage)).filter_map(|bounds| bounds.there).min();
        if !is_measured(batch, log, there.or(not_yet).unwrap_or(batch.started)) {
            into.set_aside.push(aside(stage, entries, Why::NotMeasured));
            continue;
        }
        // Beyond the last look as far again, so that a time foretold late still runs along what was measured.
        let last = there.max(not_yet).unwrap_or(batch.started);
        let beyond = last.checked_add(last.duration_since(batch.started)).unwrap_or(last);
        let Some(bench) = log.readings().curve_until(batch.started, beyond) else { continue };
        // Entries of other stages that gave an end are behind it as well.
        let gave_an_end = |bounds: &&Bounds<'_>| {
            bounds.of.stage != stage
                && ((bounds.denies(stage) && bounds.not_yet.is_some() && bounds.not_yet == not_yet)
                    || (bounds.proves(stage) && bounds.there.is_some() && bounds.there == there))
        };
        entries.extend(standing.iter().filter(gave_an_end).map(|bounds| bounds.of.entry));
        entries.sort_unstable();
        let mut tests: Vec<PlainText> = own.iter().filter_map(|bounds| bounds.of.test.clone()).collect();
        tests.dedup();
        let hours = |at: Timestamp| hours_between(batch.started, at);
        let own_heat = heat.get(batch.id).map(Arc::as_ref);
        into.looks.push(Logged {
            look: Look {
                stage,
                after_h: not_yet.map(hours).filter(|hours| *hours > 0.0),
                by_h: there.map(hours),
                own_heat: own_heat_share(batch, &bench, log.readings(), own_heat, stage),
                bench: Arc::new(bench),
                dose: batch.mix.dose,
                guessed: own.iter().all(|bounds| !bounds.of.trust.is_sure()),
            },
            from,
            title: title.clone(),
            trial: batch.mix.part.is_some_and(Part::is_trial),
            depth: batch.mix.depth,
            tests,
            entries,
        });
    }
}

/// Whether the bench was measured near the time from the mix to `until`.
fn is_measured(batch: &Batch, log: &Log, until: Timestamp) -> bool {
    let near = |at: Timestamp| batch.started.duration_since(at) <= NEAR && at.duration_since(until) <= NEAR;
    log.readings().since(batch.started).iter().any(|reading| near(reading.at))
}

//! One batch as the notebook tells it.

use super::alarm_id::AlarmId;
use super::command::{NewMix, resolve_dose};
use super::entry::{BatchId, EntryId, Mix, Seen, Trust};
use crate::material::{Fingerprint, Profile, Stage};
use crate::text::PlainText;
use crate::units::Hours;
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What was seen of one stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    pub entry: EntryId,
    pub stage: Stage,
    pub seen: Seen,
    pub test: Option<PlainText>,
    pub trust: Trust,
    /// How far off a watched moment may be; [`READING_ERROR`] where nobody said.
    pub within: Option<Hours>,
}

/// How far off the moment may be at which somebody says they watched a stage come (own working value).
pub const READING_ERROR: SignedDuration = SignedDuration::from_mins(2);

/// A profile's text, and what it says; `None` when the notebook's copy could not be read.
#[derive(Debug, Clone)]
pub(super) struct Figures {
    pub fingerprint: Fingerprint,
    pub profile: Option<Arc<Profile>>,
}

/// What a user decided about an alarm, in the order it was written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Answer {
    Acknowledged,
    SnoozedUntil(Timestamp),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct AlarmAnswer {
    pub entry: EntryId,
    pub alarm: AlarmId,
    pub at: Timestamp,
    pub answer: Answer,
}

/// One batch: what was mixed, when, and everything seen of it since.
#[derive(Debug, Clone)]
pub struct Batch {
    pub id: BatchId,
    pub entry: EntryId,
    pub mix: Mix,
    /// First contact of the parts.
    pub started: Timestamp,
    /// The profile in force: the one it was started with, or the one adopted since; `None` when the notebook's copy could not
    /// be read.
    pub profile: Option<Arc<Profile>>,
    /// What it was started with, and what was adopted since, each with its entry. The last one is in force.
    pub(super) figures: Vec<(EntryId, Figures)>,
    pub observations: Vec<Observation>,
    /// The batch that was poured onto this one.
    pub covered_by: Option<BatchId>,
    pub(super) answers: Vec<AlarmAnswer>,
    pub(super) done: Option<EntryId>,
    pub(super) undone: bool,
}

impl Batch {
    /// A batch that is not mixed yet, to see what its times would be.
    pub fn planned(mix: &NewMix, profile: &Profile) -> Self {
        // A dose that would be refused changes no time.
        let dose = resolve_dose(profile, mix.dose, mix.resin).ok().flatten();
        Self {
            id: BatchId(0),
            entry: EntryId(0),
            mix: Mix {
                material: mix.material.clone(),
                profile: Fingerprint(String::new()),
                label: mix.label.clone(),
                resin: mix.resin,
                dose,
                depth: mix.depth,
                onto: mix.onto,
                part: mix.part,
            },
            started: mix.at,
            profile: Some(Arc::new(profile.clone())),
            figures: Vec::new(),
            observations: Vec::new(),
            covered_by: None,
            answers: Vec::new(),
            done: None,
            undone: false,
        }
    }

    /// Runs on other figures from here on.
    pub(super) fn adopt(&mut self, entry: EntryId, figures: Figures) {
        self.figures.push((entry, figures));
        self.use_last_figures();
    }

    /// Goes back to the figures before the adoption `entry`, if that was one.
    pub(super) fn forget_adopted(&mut self, entry: EntryId) {
        if entry != self.entry {
            self.figures.retain(|(adopted, _)| *adopted != entry);
            self.use_last_figures();
        }
    }

    /// Whether the entry `entry` made it run on other figures.
    pub(super) fn has_adopted(&self, entry: EntryId) -> bool {
        entry != self.entry && self.figures.iter().any(|(adopted, _)| *adopted == entry)
    }

    fn use_last_figures(&mut self) {
        if let Some((_, figures)) = self.figures.last() {
            self.mix.profile.clone_from(&figures.fingerprint);
            self.profile.clone_from(&figures.profile);
        }
    }

    /// Whether its clock still matters.
    pub fn is_running(&self) -> bool {
        self.done.is_none() && !self.undone
    }

    /// The label, or the material where none was given.
    pub fn title(&self) -> &str {
        if self.mix.label.is_empty() { self.mix.material.as_str() } else { self.mix.label.as_str() }
    }

    /// When `stage` was reached at the latest, if it was seen, or implied by a later stage that was seen.
    ///
    /// Of two contradicting observations the one written later counts.
    pub fn reached(&self, stage: Stage) -> Option<Timestamp> {
        let standing = || self.observations.iter().filter(|o| !self.is_taken_back(o));
        let own = standing().rev().filter(|o| o.stage == stage).find_map(|o| o.seen.reached_by());
        own.or_else(|| standing().filter(|o| o.stage.implies(stage)).filter_map(|o| o.seen.reached_by()).min())
    }

    /// Whether a "not yet" written later, of the same stage or of one that must come before it, denies `observation`.
    fn is_taken_back(&self, observation: &Observation) -> bool {
        let Some(by) = observation.seen.reached_by() else { return false };
        let denied_by = |o: &Observation| {
            (o.stage == observation.stage || observation.stage.implies(o.stage))
                && matches!(o.seen, Seen::NotYet { at } if at >= by)
        };
        self.observations.iter().any(|o| o.entry > observation.entry && denied_by(o))
    }

    /// The latest moment at which `stage` was surely not reached: a "not yet" of it or of a stage that must come
    /// before it, or the moment such a stage was first not reached.
    pub fn not_reached_at(&self, stage: Stage) -> Option<Timestamp> {
        let about = |o: &&Observation| o.stage == stage || stage.implies(o.stage);
        self.observations.iter().filter(about).filter_map(|o| o.seen.not_before()).max()
    }

    /// The newest "not yet" of this stage, by when it was written.
    pub(super) fn last_not_yet(&self, stage: Stage) -> Option<EntryId> {
        self.observations
            .iter()
            .filter(|o| o.stage == stage && matches!(o.seen, Seen::NotYet { .. }))
            .map(|o| o.entry)
            .max()
    }

    /// The newest answer to `alarm` that no later "not yet" has outdated.
    pub(super) fn answer(&self, alarm: AlarmId) -> Option<AlarmAnswer> {
        let outdated_by = alarm.stage().and_then(|stage| self.last_not_yet(stage));
        self.answers
            .iter()
            .filter(|a| a.alarm == alarm && outdated_by.is_none_or(|not_yet| a.entry > not_yet))
            .max_by_key(|a| a.entry)
            .copied()
    }

    /// The newest answer to each alarm that has one.
    pub(super) fn newest_answers(&self) -> Vec<AlarmAnswer> {
        let answered: BTreeSet<AlarmId> = self.answers.iter().map(|answer| answer.alarm).collect();
        answered.into_iter().filter_map(|alarm| self.answer(alarm)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::Dose;
    use crate::bench::entry::Entry;
    use crate::bench::testing::{Story, at, material};
    use crate::material::Catalogue;
    use crate::units::{DosePercent, Grams};

    fn layer() -> (Story, BatchId) {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        (story, batch)
    }

    fn reached(story: &Story, stage: Stage) -> Option<Timestamp> {
        story.log().batch(BatchId(1)).unwrap().reached(stage)
    }

    #[test]
    fn of_two_contradicting_looks_the_one_told_later_counts() {
        let (mut story, batch) = layer();
        story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
        assert_eq!(reached(&story, Stage::Gel), Some(at(30)));
        story.see(35, batch, Stage::Gel, Seen::NotYet { at: at(25) });
        assert_eq!(reached(&story, Stage::Gel), Some(at(30)), "no contradiction");
        story.see(36, batch, Stage::Gel, Seen::NotYet { at: at(30) });
        assert_eq!(reached(&story, Stage::Gel), None, "the same moment is one");
        story.see(40, batch, Stage::Gel, Seen::By { by: at(40) });
        assert_eq!(reached(&story, Stage::Gel), Some(at(40)));
    }

    #[test]
    fn a_later_stage_proves_one_that_was_taken_back() {
        let (mut story, batch) = layer();
        story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
        story.see(35, batch, Stage::Gel, Seen::NotYet { at: at(35) });
        story.see(420, batch, Stage::Demould, Seen::By { by: at(420) });
        assert_eq!(reached(&story, Stage::Gel), Some(at(420)));
    }

    #[test]
    fn what_has_not_gelled_is_not_out_of_its_mould() {
        let (mut story, batch) = layer();
        story.see(20, batch, Stage::Demould, Seen::By { by: at(20) });
        assert_eq!(reached(&story, Stage::Gel), Some(at(20)));
        story.see(21, batch, Stage::Gel, Seen::NotYet { at: at(21) });
        assert_eq!((reached(&story, Stage::Gel), reached(&story, Stage::Demould)), (None, None));
        assert_eq!(story.log().batch(batch).unwrap().not_reached_at(Stage::Demould), Some(at(21)));
    }

    #[test]
    fn only_a_not_yet_told_later_outdates_an_answer() {
        let (mut story, batch) = layer();
        let answer =
            |story: &Story| story.log().batch(batch).unwrap().answer(AlarmId::of(batch, Stage::Gel)).map(|a| a.answer);
        let not_yet = Seen::NotYet { at: at(29) };
        story.see(29, batch, Stage::Gel, not_yet);
        let alarm = AlarmId::of(batch, Stage::Gel);
        story.write(31, Entry::Acknowledged { alarm });
        assert_eq!(answer(&story), Some(Answer::Acknowledged));
        let told = story.see(32, batch, Stage::Gel, not_yet);
        assert_eq!(answer(&story), None);
        story.undo(33, told);
        assert_eq!(answer(&story), Some(Answer::Acknowledged));
        story.write(34, Entry::Snoozed { alarm, until: at(50) });
        assert_eq!(answer(&story), Some(Answer::SnoozedUntil(at(50))), "the newer answer wins");
    }

    #[test]
    fn a_batch_not_yet_mixed_has_the_dose_it_would_be_mixed_with() {
        let catalogue = Catalogue::embedded();
        let planned = |dose| {
            let mix = NewMix {
                material: material("clear-polyester"),
                label: crate::text::PlainText::default(),
                resin: Grams::new(80.0).ok(),
                dose,
                depth: None,
                onto: None,
                part: None,
                at: at(0),
            };
            Batch::planned(&mix, &catalogue.get(&mix.material).unwrap().profile).mix.dose.map(DosePercent::get)
        };
        assert_eq!(planned(Dose::Usual), Some(1.0));
        assert_eq!(planned(Dose::Weighed(Grams::new(1.2).unwrap())), Some(1.5));
        assert_eq!(planned(Dose::Weighed(Grams::new(80.0).unwrap())), None, "refused when mixed");
    }

    #[test]
    fn adopted_figures_hold_until_they_are_taken_back() {
        let (mut story, batch) = layer();
        let gel = |story: &Story| {
            let log = story.log();
            let profile = log.batch(batch).unwrap().profile.clone().unwrap();
            profile.thermal().unwrap().stage(Stage::Gel).unwrap().after.value.get() * 60.0
        };
        let toml =
            Catalogue::embedded().find("clear-polyester").unwrap().source.replace("after = \"30m\"", "after = \"45m\"");
        let fingerprint = Fingerprint("slower".to_owned());
        let material = material("clear-polyester");
        story.write(10, Entry::Profile { fingerprint: fingerprint.clone(), material, toml });
        assert!((gel(&story) - 30.0).abs() < 1e-9);
        let adopted = story.write(11, Entry::Adopted { batch, profile: fingerprint.clone() });
        assert!((gel(&story) - 45.0).abs() < 1e-9);
        let log = story.log();
        assert_eq!(log.batch(batch).unwrap().mix.profile, fingerprint);
        assert!(log.can_undo(adopted) && log.last_undoable() == Some(adopted));
        story.undo(12, adopted);
        assert!((gel(&story) - 30.0).abs() < 1e-9 && !story.log().can_undo(adopted));
    }
}

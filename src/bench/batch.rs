//! One batch as the notebook tells it.

use super::command::{Dose, NewMix};
use super::entry::{BatchId, EntryId, Fingerprint, Mix, Seen};
use crate::material::{Profile, Stage};
use crate::text::PlainText;
use jiff::Timestamp;
use std::sync::Arc;

/// What was seen of one stage.
#[derive(Debug, Clone, PartialEq)]
pub struct Observation {
    pub entry: EntryId,
    pub stage: Stage,
    pub seen: Seen,
    pub test: Option<PlainText>,
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
    pub stage: Stage,
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
    /// The profile it was started with; `None` when the notebook's copy could not be read.
    pub profile: Option<Arc<Profile>>,
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
        let dose = match mix.dose {
            Dose::Percent(dose) => Some(dose),
            Dose::Usual | Dose::Weighed(_) => None,
        };
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
            },
            started: mix.at,
            profile: Some(Arc::new(profile.clone())),
            observations: Vec::new(),
            covered_by: None,
            answers: Vec::new(),
            done: None,
            undone: false,
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
    /// Of two contradicting observations of one stage the one written later counts.
    pub fn reached(&self, stage: Stage) -> Option<Timestamp> {
        let own = self
            .observations
            .iter()
            .rev()
            .filter(|o| o.stage == stage)
            .find_map(|o| o.seen.reached_by().map(|by| (o, by)));
        if let Some((observation, by)) = own {
            let taken_back = self.observations.iter().any(|o| {
                o.stage == stage && o.entry > observation.entry && matches!(o.seen, Seen::NotYet { at } if at > by)
            });
            return (!taken_back).then_some(by);
        }
        let implied = self.observations.iter().filter(|o| o.stage.implies(stage));
        implied.filter_map(|o| o.seen.reached_by()).min()
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

    /// The newest answer to the alarm of `stage` that no later "not yet" has outdated.
    pub(super) fn answer(&self, stage: Stage) -> Option<AlarmAnswer> {
        let outdated_by = self.last_not_yet(stage);
        self.answers
            .iter()
            .filter(|a| a.stage == stage && outdated_by.is_none_or(|not_yet| a.entry > not_yet))
            .max_by_key(|a| a.entry)
            .copied()
    }
}

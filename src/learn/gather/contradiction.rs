//! Observations of one batch that cannot all be true.

use super::Why;
use crate::bench::{Observation, READING_ERROR, Seen};
use crate::material::Stage;
use jiff::{SignedDuration, Timestamp};

/// An observation as what it bounds: not there yet at one moment, there at another.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bounds<'a> {
    pub of: &'a Observation,
    pub not_yet: Option<Timestamp>,
    pub there: Option<Timestamp>,
}

impl<'a> Bounds<'a> {
    /// A watched moment is as good as its reading error.
    pub fn of(of: &'a Observation) -> Self {
        let (not_yet, there) = match of.seen {
            Seen::At { at } => {
                let said = of.within.and_then(|within| SignedDuration::try_from_secs_f64(within.seconds()).ok());
                let off = said.unwrap_or(READING_ERROR);
                (at.checked_sub(off).ok(), at.checked_add(off).ok())
            }
            Seen::By { by } => (None, Some(by)),
            Seen::Between { after, by } => (Some(after), Some(by)),
            Seen::NotYet { at } => (Some(at), None),
        };
        Self { of, not_yet, there }
    }

    /// That this one was there by then speaks of `stage` too.
    pub fn proves(&self, stage: Stage) -> bool {
        self.of.stage == stage || self.of.stage.implies(stage)
    }

    /// That this one was not there yet speaks of `stage` too.
    pub fn denies(&self, stage: Stage) -> bool {
        self.of.stage == stage || stage.implies(self.of.stage)
    }
}

/// For each of `all`, what it contradicts, if anything: both sides are told.
pub(super) fn contradictions(all: &[Bounds<'_>]) -> Vec<Option<Why>> {
    let mut found = vec![None; all.len()];
    for (i, there) in all.iter().enumerate() {
        for (j, not_yet) in all.iter().enumerate().filter(|(j, _)| *j != i) {
            let (Some(by), Some(at)) = (there.there, not_yet.not_yet) else { continue };
            if there.proves(not_yet.of.stage) && at >= by {
                let why = Why::Contradicts { there: (there.of.stage, by), not_yet: (not_yet.of.stage, at) };
                found[i].get_or_insert(why);
                found[j].get_or_insert(why);
            }
        }
    }
    found
}

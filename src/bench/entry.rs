//! The notebook's entries: everything that happened, as it was told. State is a fold over them.

use crate::material::{Fingerprint, MaterialId, Stage};
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams, Millimetres, Percent};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The place of an entry in the notebook: 1 is the first ever written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EntryId(pub i64);

/// A batch's number: the n-th mix of the notebook, counting undone ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BatchId(pub u32);

impl fmt::Display for BatchId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// Which of a batch's stages an alarm is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct AlarmId {
    pub batch: BatchId,
    pub stage: Stage,
}

/// When a stage was reached, as far as anybody knows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "how", rename_all = "kebab-case")]
pub enum Seen {
    /// Watched it happen.
    At { at: Timestamp },
    /// Already reached when looked at.
    By { by: Timestamp },
    /// Not at the first look, reached at the second.
    Between { after: Timestamp, by: Timestamp },
    /// Looked and it had not happened.
    NotYet { at: Timestamp },
}

impl Seen {
    /// The latest moment the stage can have been reached, if it was.
    pub fn reached_by(self) -> Option<Timestamp> {
        match self {
            Seen::At { at } => Some(at),
            Seen::By { by } | Seen::Between { by, .. } => Some(by),
            Seen::NotYet { .. } => None,
        }
    }

    /// The latest look at which the stage was surely not there yet. The moment it was watched happening is no such
    /// look: whoever writes "seen now" in a hurry has often only just looked.
    pub fn not_before(self) -> Option<Timestamp> {
        match self {
            Seen::NotYet { at } => Some(at),
            Seen::Between { after, .. } => Some(after),
            Seen::At { .. } | Seen::By { .. } => None,
        }
    }
}

/// One mixed quantity of one material.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Mix {
    pub material: MaterialId,
    pub profile: Fingerprint,
    pub label: PlainText,
    pub resin: Option<Grams>,
    pub dose: Option<DosePercent>,
    pub depth: Option<Millimetres>,
    /// The layer this one was poured onto: its next-layer window is then used, and need not ring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub onto: Option<BatchId>,
}

/// What happened.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Entry {
    /// A profile's text, kept when a batch first uses it.
    Profile {
        fingerprint: Fingerprint,
        material: MaterialId,
        toml: String,
    },
    Mixed(Mix),
    Observed {
        batch: BatchId,
        stage: Stage,
        seen: Seen,
        test: Option<PlainText>,
    },
    Reading {
        celsius: Celsius,
        humidity: Option<Percent>,
        source: PlainText,
    },
    /// The batch needs no more watching.
    Done {
        batch: BatchId,
    },
    Acknowledged {
        alarm: AlarmId,
    },
    Snoozed {
        alarm: AlarmId,
        until: Timestamp,
    },
    Undone {
        entry: EntryId,
    },
}

/// An entry before it is written.
#[derive(Debug, Clone, PartialEq)]
pub struct NewEntry {
    pub happened: Timestamp,
    pub entry: Entry,
}

/// An entry as the notebook holds it.
#[derive(Debug, Clone, PartialEq)]
pub struct Stored {
    pub id: EntryId,
    pub happened: Timestamp,
    pub written: Timestamp,
    pub entry: Entry,
}

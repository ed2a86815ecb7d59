//! The notebook's entries: everything that happened, as it was told. State is a fold over them.

use super::alarm_id::AlarmId;
use super::bedtime::Promise;
use super::night::PlannedPour;
use super::room::Tonight;
use crate::material::{Fingerprint, MaterialId, Stage};
use crate::pour::StepId;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams, Hours, Level, Millimetres, Percent};
use jiff::Timestamp;
use serde::{Deserialize, Serialize};
use std::fmt;

/// The place of an entry in the notebook: 1 is the first ever written.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct EntryId(pub i64);

/// A batch's number: the n-th mix of the notebook, counting undone ones and such as cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct BatchId(pub u32);

impl fmt::Display for BatchId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// A piece's number: the n-th piece started in the notebook, counting undone ones and such as cannot be read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct PieceId(pub u32);

impl fmt::Display for PieceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

/// What a batch is for, where it is more than a batch.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "as", rename_all = "kebab-case")]
pub enum Part {
    /// The layer of this number, from 1.
    Layer { piece: PieceId, layer: u32 },
    /// The last layer, which makes good what the cure has shrunk.
    Topping { piece: PieceId, layer: u32 },
    /// A small batch to see how the material sets: what is seen of it is a trial's.
    Trial { piece: Option<PieceId> },
}

impl Part {
    /// The piece and the layer's number, where it is one.
    pub fn layer(self) -> Option<(PieceId, u32)> {
        match self {
            Part::Layer { piece, layer } | Part::Topping { piece, layer } => Some((piece, layer)),
            Part::Trial { .. } => None,
        }
    }

    pub fn piece(self) -> Option<PieceId> {
        match self {
            Part::Layer { piece, .. } | Part::Topping { piece, .. } => Some(piece),
            Part::Trial { piece } => piece,
        }
    }

    pub fn is_trial(self) -> bool {
        matches!(self, Part::Trial { .. })
    }
}

/// A mesh of a piece as the notebook keeps it: the file may change or go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptMesh {
    /// The item's place in the piece file, from 0.
    pub item: usize,
    /// mm above its lowest point, and mL below that.
    pub points: Vec<(f64, f64)>,
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

/// How sure somebody was of what they wrote down.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Trust {
    #[default]
    Sure,
    Guess,
}

impl Trust {
    pub fn is_sure(&self) -> bool {
        *self == Trust::Sure
    }
}

/// An observation from before the notebook, as from a table of the user's own. It is no event of the bench.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recalled {
    pub material: MaterialId,
    pub stage: Stage,
    /// Hours from first contact: not there yet. This one or the next is there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_h: Option<Hours>,
    /// There; the same as `after_h` means that very moment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by_h: Option<Hours>,
    /// The bench, all the while.
    pub celsius: Celsius,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub dose_percent: Option<DosePercent>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub depth_mm: Option<Millimetres>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub test: Option<PlainText>,
    #[serde(default, skip_serializing_if = "Trust::is_sure")]
    pub trust: Trust,
    /// The file and its line.
    pub source: PlainText,
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
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<Part>,
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
        #[serde(default, skip_serializing_if = "Trust::is_sure")]
        trust: Trust,
        /// How far off a watched moment may be, where that was said.
        #[serde(rename = "within_h", default, skip_serializing_if = "Option::is_none")]
        within: Option<Hours>,
    },
    /// From here on the batch runs on another text of its material's profile.
    Adopted {
        batch: BatchId,
        profile: Fingerprint,
    },
    Recalled(Recalled),
    Reading {
        celsius: Celsius,
        humidity: Option<Percent>,
        source: PlainText,
    },
    /// The batch needs no more watching.
    Done {
        batch: BatchId,
    },
    /// A piece is on the bench.
    PieceStarted {
        name: PlainText,
        toml: String,
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        meshes: Vec<KeptMesh>,
    },
    /// A step of a piece's order of work was done.
    Ticked {
        piece: PieceId,
        step: StepId,
    },
    /// Where the resin of a piece really stands.
    Levelled {
        piece: PieceId,
        level_mm: Level,
    },
    /// These pour times were accepted for the layers that are left.
    NightPlanned {
        piece: PieceId,
        pours: Vec<PlannedPour>,
    },
    /// The piece is off the bench.
    PieceDone {
        piece: PieceId,
    },
    Acknowledged {
        alarm: AlarmId,
    },
    Snoozed {
        alarm: AlarmId,
        until: Timestamp,
    },
    /// The machine's clock was set forward by so much: what was written after the entry `after`, the last one of an earlier
    /// start of the machine, and before this one counts as so much later.
    ClockSet {
        by_us: i64,
        after: EntryId,
    },
    /// The machine slept from `from` to when this happened, and no alarm could ring.
    Slept {
        from: Timestamp,
    },
    /// What the forecast of the bench's temperature is to be made of from here on.
    Tonight(Tonight),
    /// Somebody went to bed, counting on these times.
    Bedtime {
        promised: Vec<Promise>,
    },
    /// The forecast has moved an alarm away from when it was promised.
    Moved {
        alarm: AlarmId,
        from: Timestamp,
        to: Timestamp,
    },
    /// An alarm rang for the first time.
    Rang {
        alarm: AlarmId,
    },
    Undone {
        entry: EntryId,
    },
    /// An entry of which only the place counts, because it cannot be read or had not happened yet: a mix among them
    /// keeps its number to itself. Never written.
    #[serde(skip)]
    PassedOver {
        kind: PlainText,
    },
}

/// The kind of a mix, in the notebook.
const MIXED: &str = "mixed";
/// The kind of a piece's start.
const PIECE_STARTED: &str = "piece-started";

impl Entry {
    /// What the notebook calls this kind of entry.
    pub fn kind(&self) -> &str {
        match self {
            Entry::Profile { .. } => "profile",
            Entry::Mixed(_) => MIXED,
            Entry::Observed { .. } => "observed",
            Entry::Adopted { .. } => "adopted",
            Entry::Recalled(_) => "recalled",
            Entry::Reading { .. } => "reading",
            Entry::Done { .. } => "done",
            Entry::PieceStarted { .. } => PIECE_STARTED,
            Entry::Ticked { .. } => "ticked",
            Entry::Levelled { .. } => "levelled",
            Entry::NightPlanned { .. } => "night-planned",
            Entry::PieceDone { .. } => "piece-done",
            Entry::Acknowledged { .. } => "acknowledged",
            Entry::Snoozed { .. } => "snoozed",
            Entry::ClockSet { .. } => "clock-set",
            Entry::Slept { .. } => "slept",
            Entry::Tonight(_) => "tonight",
            Entry::Bedtime { .. } => "bedtime",
            Entry::Moved { .. } => "moved",
            Entry::Rang { .. } => "rang",
            Entry::Undone { .. } => "undone",
            Entry::PassedOver { kind } => kind.as_str(),
        }
    }

    /// Whether it may move a plan: something done or seen, no reading and no word about an alarm.
    pub(super) fn is_deed(&self) -> bool {
        !matches!(
            self,
            Entry::Reading { .. }
                | Entry::Acknowledged { .. }
                | Entry::Snoozed { .. }
                | Entry::Bedtime { .. }
                | Entry::Moved { .. }
                | Entry::Rang { .. }
                | Entry::Slept { .. }
                | Entry::Profile { .. }
                | Entry::PassedOver { .. }
        )
    }

    /// Whether it takes the next batch number.
    pub(super) fn is_mix(&self) -> bool {
        self.kind() == MIXED
    }

    /// Whether it takes the next piece's number.
    pub(super) fn starts_piece(&self) -> bool {
        self.kind() == PIECE_STARTED
    }
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

impl Stored {
    /// The same place in the notebook, the content left out.
    pub(super) fn passed_over(self) -> Self {
        Self { entry: Entry::PassedOver { kind: PlainText::new(self.entry.kind()) }, ..self }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::testing::{Story, at, recalled};
    use serde_json::Value;

    #[test]
    fn the_kind_is_the_one_that_is_written() {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        let alarm = AlarmId::of(batch, Stage::Gel);
        story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
        story.write(31, Entry::Acknowledged { alarm });
        story.write(32, Entry::Snoozed { alarm, until: at(40) });
        story.write(33, Entry::Done { batch });
        let profile = Fingerprint("00".to_owned());
        story.write(33, Entry::Adopted { batch, profile });
        story.write(33, Entry::Recalled(recalled()));
        story.write(33, Entry::Rang { alarm });
        story.write(33, Entry::Tonight(Tonight::Held));
        story.write(33, Entry::Bedtime { promised: vec![Promise { alarm, due: at(40) }] });
        story.write(33, Entry::Moved { alarm, from: at(40), to: at(60) });
        story.write(33, Entry::NightPlanned { piece: PieceId(1), pours: Vec::new() });
        story.write(33, Entry::Slept { from: at(32) });
        story.write(33, Entry::ClockSet { by_us: -2_000_000, after: EntryId(0) });
        story.undo(34, EntryId(1));
        for Stored { entry, .. } in story.entries() {
            let written = serde_json::to_value(entry).unwrap();
            assert_eq!(written["kind"], Value::from(entry.kind()));
            assert_eq!(entry.is_mix(), matches!(entry, Entry::Mixed(_)));
        }
        assert_eq!(story.entries().len(), 17, "one of each kind");
    }

    #[test]
    fn what_is_passed_over_is_never_written() {
        let passed = Entry::PassedOver { kind: PlainText::new("mixed") };
        assert!(passed.is_mix() && serde_json::to_string(&passed).is_err());
        assert!(serde_json::from_str::<Entry>(r#"{"kind":"passed-over"}"#).is_err());
    }
}

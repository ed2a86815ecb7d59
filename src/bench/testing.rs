//! A notebook told in few words, for the tests of the bench. Times are counted from 20:00 UTC of an invented night.

use super::entry::{BatchId, Entry, EntryId, Mix, Recalled, Seen, Stored, Trust};
use super::log::Log;
use crate::material::{Catalogue, MaterialId, Stage};
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Hours};
use jiff::{SignedDuration, Timestamp};

pub(crate) fn at_second(second: i64) -> Timestamp {
    let begin: Timestamp = "2026-03-02T20:00:00Z".parse().unwrap();
    begin + SignedDuration::from_secs(second)
}

pub(crate) fn at(minute: i64) -> Timestamp {
    at_second(minute * 60)
}

pub(crate) fn material(name: &str) -> MaterialId {
    MaterialId::new(name).unwrap()
}

/// An invented look from before the notebook.
pub(crate) fn recalled() -> Recalled {
    Recalled {
        material: material("clear-polyester"),
        stage: Stage::Gel,
        after_h: Hours::new(0.6).ok(),
        by_h: Hours::new(0.8).ok(),
        celsius: Celsius::new(18.0).unwrap(),
        dose_percent: DosePercent::new(1.2).ok(),
        depth_mm: None,
        test: None,
        trust: Trust::Sure,
        source: PlainText::new("import.csv line 4"),
    }
}

/// Entries in the order in which they are told.
pub(crate) struct Story {
    catalogue: Catalogue,
    entries: Vec<Stored>,
    batches: u32,
}

impl Story {
    /// Nothing written yet.
    pub fn new() -> Self {
        Self { catalogue: Catalogue::embedded(), entries: Vec::new(), batches: 0 }
    }

    /// The bench was at 20 °C all day.
    pub fn at_20_c() -> Self {
        let mut story = Self::new();
        story.read(-60, 20.0);
        story
    }

    pub fn write(&mut self, minute: i64, entry: Entry) -> EntryId {
        self.write_at(at(minute), entry)
    }

    pub fn write_at(&mut self, happened: Timestamp, entry: Entry) -> EntryId {
        let id = EntryId(i64::try_from(self.entries.len()).unwrap() + 1);
        self.entries.push(Stored { id, happened, written: happened, entry });
        id
    }

    pub fn read(&mut self, minute: i64, celsius: f64) -> EntryId {
        let celsius = Celsius::new(celsius).unwrap();
        self.write(minute, Entry::Reading { celsius, humidity: None, source: PlainText::new("bench") })
    }

    pub fn mix(&mut self, minute: i64, name: &str) -> BatchId {
        self.pour(minute, name, None).0
    }

    /// A batch of which more is known: `tell` writes it down.
    pub fn mix_as(&mut self, minute: i64, name: &str, tell: impl FnOnce(&mut Mix)) -> BatchId {
        self.mixed(minute, name, tell).0
    }

    /// A batch poured onto another; its number, and the entry that says so.
    pub fn pour(&mut self, minute: i64, name: &str, onto: Option<BatchId>) -> (BatchId, EntryId) {
        self.mixed(minute, name, |mix| mix.onto = onto)
    }

    fn mixed(&mut self, minute: i64, name: &str, tell: impl FnOnce(&mut Mix)) -> (BatchId, EntryId) {
        let item = self.catalogue.get(&material(name)).unwrap();
        let (profile, toml) = (item.fingerprint.clone(), item.source.clone().into_owned());
        let kept = Entry::Profile { fingerprint: profile.clone(), material: material(name), toml };
        self.write(minute, kept);
        let mut mix = Mix {
            material: material(name),
            profile,
            label: PlainText::default(),
            resin: None,
            dose: None,
            depth: None,
            onto: None,
            part: None,
        };
        tell(&mut mix);
        self.batches += 1;
        (BatchId(self.batches), self.write(minute, Entry::Mixed(mix)))
    }

    pub fn see(&mut self, minute: i64, batch: BatchId, stage: Stage, seen: Seen) -> EntryId {
        let (trust, within) = (Trust::Sure, None);
        self.write(minute, Entry::Observed { batch, stage, seen, test: None, trust, within })
    }

    pub fn undo(&mut self, minute: i64, entry: EntryId) {
        self.write(minute, Entry::Undone { entry });
    }

    pub fn entries(&self) -> &[Stored] {
        &self.entries
    }

    pub fn log(&self) -> Log {
        Log::replay(self.entries.iter().cloned())
    }
}

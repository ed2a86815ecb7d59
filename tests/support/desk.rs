//! A bench with a notebook in memory: no file, no clock.
#![expect(clippy::expect_used, reason = "test support: a panic is the failing test")]

use jiff::{Timestamp, tz::TimeZone};
use nightpour::bench::{Bench, Effect, EntryId, Event, NewEntry, Stored};
use nightpour::material::Catalogue;

pub struct Desk {
    bench: Bench,
    entries: Vec<Stored>,
}

impl Desk {
    /// Opens a bench on what was written before. The effects are what rings at once.
    pub fn open(catalogue: Catalogue, entries: Vec<Stored>, zone: TimeZone, now: Timestamp) -> (Self, Vec<Effect>) {
        let mut bench = Bench::new(catalogue, zone, now);
        let effects = bench.handle(Event::Entries(entries.clone()), now);
        (Self { bench, entries }, effects)
    }

    /// Runs an event through the bench and writes what it wants written; the rest is what is left to do.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Effect> {
        let mut left = Vec::new();
        for effect in self.bench.handle(event, now) {
            match effect {
                Effect::Write(new) => {
                    let stored = self.store(new, now);
                    left.extend(self.bench.handle(Event::Entries(stored), now));
                }
                other => left.push(other),
            }
        }
        left
    }

    fn store(&mut self, new: Vec<NewEntry>, written: Timestamp) -> Vec<Stored> {
        let first = self.entries.len();
        for NewEntry { happened, entry } in new {
            let id = EntryId(i64::try_from(self.entries.len()).expect("few entries") + 1);
            self.entries.push(Stored { id, happened, written, entry });
        }
        self.entries[first..].to_vec()
    }

    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    pub fn entries(&self) -> &[Stored] {
        &self.entries
    }
}

//! The bench joined to its notebook: what the bench wants written is written, and comes back as news.

use crate::bench::{Bench, Effect, EntryId, Event, NewEntry};
use crate::material::Catalogue;
use crate::notebook::{BEFORE_FIRST, Notebook, NotebookError, Unreadable};
use crate::text::{PlainText, first_of};
use jiff::{Timestamp, tz::TimeZone};

/// A bench with its notebook.
#[derive(Debug)]
pub struct Session {
    bench: Bench,
    notebook: Notebook,
    /// The last entry read, readable or not.
    seen: EntryId,
    unreadable: Vec<Unreadable>,
}

impl Session {
    /// Joins them, and reads what the notebook already holds. The effects are what rings at once.
    pub fn open(bench: Bench, notebook: Notebook, now: Timestamp) -> Result<(Self, Vec<Effect>), NotebookError> {
        let mut session = Self { bench, notebook, seen: BEFORE_FIRST, unreadable: Vec::new() };
        let news = session.read_news()?;
        let effects = session.bench.handle(news, now);
        Ok((session, effects))
    }

    /// Runs `event` through the bench at `now`, writes what has to be written, and returns what is left to do.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Effect> {
        let mut left = Vec::new();
        for effect in self.bench.handle(event, now) {
            match effect {
                Effect::Write(entries) => left.extend(self.write(&entries, now)),
                other => left.push(other),
            }
        }
        left
    }

    /// Takes in what anybody has written since the last look, and says so where some of it cannot be read.
    pub fn catch_up(&mut self, now: Timestamp) -> Vec<Effect> {
        let known = self.unreadable.len();
        match self.read_news() {
            Ok(news) => {
                let mut effects = self.bench.handle(news, now);
                effects.extend(first_of(&self.unreadable[known..]).map(|line| complaint(&line)));
                effects
            }
            Err(error) => vec![complaint(&error.to_string())],
        }
    }

    fn read_news(&mut self) -> Result<Event, NotebookError> {
        let replay = self.notebook.read_after(self.seen)?;
        self.seen = replay.last_id().unwrap_or(self.seen);
        self.unreadable.extend(replay.unreadable.iter().cloned());
        Ok(Event::Entries(replay.in_order()))
    }

    /// Has new batches use the figures of `catalogue`; running ones keep theirs.
    pub fn use_materials(&mut self, catalogue: Catalogue) {
        self.bench.use_materials(catalogue);
    }

    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    pub fn notebook(&self) -> &Notebook {
        &self.notebook
    }

    pub fn notebook_mut(&mut self) -> &mut Notebook {
        &mut self.notebook
    }

    /// From here on times are shown as the clocks of `zone` show them.
    pub fn use_zone(&mut self, zone: TimeZone) {
        self.bench.use_zone(zone);
    }

    /// Writes what was not asked of the bench, and takes it in.
    pub fn write(&mut self, entries: &[NewEntry], now: Timestamp) -> Vec<Effect> {
        match self.notebook.append(entries, now) {
            Ok(_) => self.catch_up(now),
            Err(error) => vec![complaint(&error.to_string())],
        }
    }

    /// Whether another program has written since the last look; for when no watch can be kept.
    pub fn changed_elsewhere(&mut self) -> bool {
        self.notebook.changed_since().unwrap_or(true)
    }

    /// Entries that could not be read.
    pub fn unreadable(&self) -> &[Unreadable] {
        &self.unreadable
    }
}

fn complaint(line: &str) -> Effect {
    Effect::Say { line: PlainText::new(line), refused: true }
}

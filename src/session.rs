//! The bench joined to its notebook: what the bench wants written is written, and comes back as news.

use crate::bench::{AlarmRules, Bench, Effect, Entry, EntryId, Event, NewEntry};
use crate::material::Catalogue;
use crate::notebook::{BEFORE_FIRST, Notebook, NotebookError, Unreadable};
use crate::text::{PlainText, first_of};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

/// How often a notebook that could not take an entry is tried again.
const TRY_AGAIN: SignedDuration = SignedDuration::from_secs(5);
/// More than a night has.
const MOST_UNWRITTEN: usize = 10_000;

/// A bench with its notebook.
#[derive(Debug)]
pub struct Session {
    bench: Bench,
    notebook: Notebook,
    /// The last entry read, readable or not.
    seen: EntryId,
    unreadable: Vec<Unreadable>,
    /// What the notebook could not take yet.
    unwritten: Vec<NewEntry>,
    /// When that was last tried.
    tried: Timestamp,
}

impl Session {
    /// Joins them, and reads what the notebook already holds. The effects are what rings at once.
    pub fn open(bench: Bench, notebook: Notebook, now: Timestamp) -> Result<(Self, Vec<Effect>), NotebookError> {
        let mut session =
            Self { bench, notebook, seen: BEFORE_FIRST, unreadable: Vec::new(), unwritten: Vec::new(), tried: now };
        let news = session.read_news()?;
        let effects = session.bench.handle(news, now);
        Ok((session, effects))
    }

    /// Runs `event` through the bench at `now`, writes what has to be written, and returns what is left to do.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Effect> {
        let mut left = Vec::new();
        if matches!(event, Event::Tick) {
            left.extend(self.try_again(now));
        }
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

    /// From here on alarms are as these rules have them.
    pub fn use_rules(&mut self, rules: AlarmRules) {
        self.bench.use_rules(rules);
    }

    /// Writes entries, and takes them in. What nobody would type again is kept where the notebook cannot take it: an answer to an
    /// alarm counts at once, and all of it is written as soon as that works.
    pub fn write(&mut self, entries: &[NewEntry], now: Timestamp) -> Vec<Effect> {
        let Err(error) = self.notebook.append(entries, now) else { return self.catch_up(now) };
        if !entries.iter().all(|new| is_kept(&new.entry)) {
            return vec![complaint(&error.to_string())];
        }
        let first = self.unwritten.is_empty();
        let room = MOST_UNWRITTEN.saturating_sub(self.unwritten.len());
        self.unwritten.extend(entries.iter().take(room).cloned());
        self.tried = now;
        let mut effects = self.bench.handle(Event::Unwritten(entries.to_vec()), now);
        // Said once, not with every reading.
        if first {
            effects.push(complaint(&format!(
                "{error}; what comes meanwhile is kept in mind, and written when that works"
            )));
        }
        effects
    }

    /// Writes what could not be written before, if it is time to try again.
    fn try_again(&mut self, now: Timestamp) -> Vec<Effect> {
        if self.unwritten.is_empty() || now.duration_since(self.tried).abs() < TRY_AGAIN {
            return Vec::new();
        }
        self.tried = now;
        let Ok(_) = self.notebook.append(&self.unwritten, now) else { return Vec::new() };
        self.unwritten.clear();
        let mut effects = self.catch_up(now);
        effects.extend(self.bench.handle(Event::AllWritten, now));
        let line = PlainText::new("the notebook takes entries again: all that was kept in mind is written");
        effects.push(Effect::Say { line, refused: false });
        effects
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

/// Whether an entry is kept where it cannot be written: nobody would enter it again, and it does no harm an hour later.
fn is_kept(entry: &Entry) -> bool {
    matches!(
        entry,
        Entry::Acknowledged { .. }
            | Entry::Snoozed { .. }
            | Entry::Reading { .. }
            | Entry::Rang { .. }
            | Entry::Moved { .. }
            | Entry::Slept { .. }
            | Entry::Bedtime { .. }
    )
}

fn complaint(line: &str) -> Effect {
    Effect::Say { line: PlainText::new(line), refused: true }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{AlarmId, BatchId, Command, Dose, NewMix};
    use crate::material::Stage;
    use std::time::Duration;

    fn at(minute: i64) -> Timestamp {
        let begin: Timestamp = "2026-03-02T20:00:00Z".parse().unwrap();
        begin + SignedDuration::from_mins(minute)
    }

    #[test]
    fn an_answer_that_cannot_be_written_counts_and_is_written_when_it_can_be() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n.sqlite");
        let mut notebook = Notebook::open(&path).unwrap();
        notebook.wait_at_most(Duration::from_millis(10)).unwrap();
        let bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, at(0));
        let (mut session, _) = Session::open(bench, notebook, at(0)).unwrap();
        let material = crate::material::MaterialId::new("clear-polyester").unwrap();
        let label = PlainText::default();
        let mix =
            NewMix { material, label, resin: None, dose: Dose::Usual, depth: None, onto: None, part: None, at: at(0) };
        session.handle(Event::Command(Command::Mix(mix)), at(0));
        session.handle(Event::Tick, at(31));
        let alarm = AlarmId::of(BatchId(1), Stage::Gel);
        let rings = |session: &Session| session.bench().alarms().iter().any(|a| a.id == alarm && a.is_sounding());
        assert!(rings(&session));
        let other = rusqlite::Connection::open(&path).unwrap();
        other.execute_batch("BEGIN IMMEDIATE").unwrap();
        let effects = session.handle(Event::Command(Command::Acknowledge { alarm }), at(31));
        assert!(effects.contains(&Effect::Hush(alarm)) && !rings(&session), "{effects:?}");
        for minute in 32..60 {
            let effects = session.handle(Event::Tick, at(minute));
            assert!(!effects.iter().any(|e| matches!(e, Effect::Ring(notice) if notice.alarm == alarm)));
        }
        other.execute_batch("ROLLBACK").unwrap();
        session.handle(Event::Tick, at(60));
        assert!(!rings(&session));
        let kept = session.notebook().read_after(BEFORE_FIRST).unwrap().entries;
        assert!(kept.iter().any(|stored| stored.entry == Entry::Acknowledged { alarm } && stored.happened == at(31)));
    }
}

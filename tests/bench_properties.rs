//! What holds at the bench whatever is done at it, in whatever order.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

#[path = "support/deeds.rs"]
mod deeds;
#[path = "support/desk.rs"]
mod desk;
#[path = "support/strategy.rs"]
mod strategy;

use deeds::{Deed, any_deeds};
use desk::Desk;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::bench::{
    Alarm, AlarmId, AlarmState, Bench, Effect, Entry, EntryId, Event, Log, Mix, NewEntry, Seen, Stored, Urgency,
    forecast,
};
use nightpour::material::Catalogue;
use proptest::collection::vec;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// How long a ringing alarm may be silent, by how much it matters: what the bench promises.
fn longest_silence(urgency: Urgency) -> SignedDuration {
    SignedDuration::from_mins(match urgency {
        Urgency::Critical => 1,
        Urgency::Normal => 2,
        Urgency::Low => 30,
    })
}

/// A night as it goes on, with everything that must hold checked after each event.
struct Night {
    desk: Desk,
    now: Timestamp,
    last_rang: BTreeMap<AlarmId, Timestamp>,
}

impl Night {
    fn begin() -> Self {
        let now: Timestamp = "2026-03-02T20:00:00Z".parse().unwrap();
        let (desk, _) = Desk::open(Catalogue::embedded(), Vec::new(), TimeZone::UTC, now);
        Self { desk, now, last_rang: BTreeMap::new() }
    }

    fn live(&mut self, deed: &Deed) {
        match deed {
            Deed::Wait { minutes } => self.wait(SignedDuration::from_mins(*minutes)),
            Deed::Jump { minutes } => {
                self.now += SignedDuration::from_mins(*minutes);
                let effects = self.desk.handle(Event::Tick, self.now);
                self.check(&effects);
            }
            Deed::Reopen => {
                let entries = self.desk.entries().to_vec();
                let (desk, effects) = Desk::open(Catalogue::embedded(), entries, TimeZone::UTC, self.now);
                self.desk = desk;
                self.last_rang.clear();
                self.check(&effects);
            }
            Deed::Ask(ask) => {
                let command = ask.command(self.now);
                let effects = self.desk.handle(Event::Command(command), self.now);
                self.check(&effects);
            }
        }
    }

    /// Ticks when the bench asks for it, and only then.
    fn wait(&mut self, length: SignedDuration) {
        let until = self.now + length;
        while let Some(tick) = self.desk.bench().next_tick().filter(|at| *at <= until) {
            assert!(tick > self.now, "a tick is asked for at {tick}, and it is {} already", self.now);
            self.now = tick;
            let effects = self.desk.handle(Event::Tick, tick);
            self.check(&effects);
        }
        self.now = until;
    }

    fn check(&mut self, effects: &[Effect]) {
        let answers = Answers::of(self.desk.entries());
        for effect in effects {
            match effect {
                Effect::Ring(notice) => {
                    assert!(!answers.is_acknowledged(notice.alarm), "{:?} was acknowledged and rings", notice.alarm);
                    self.last_rang.insert(notice.alarm, self.now);
                }
                Effect::Hush(alarm) => {
                    assert!(self.last_rang.remove(alarm).is_some(), "{alarm:?} falls silent that never rang");
                }
                Effect::Say { .. } => {}
                Effect::Write(_) => panic!("the desk writes"),
            }
        }
        for due in due(self.desk.bench(), &answers, self.now) {
            let rang = self.last_rang.get(&due.id);
            // Where the clock was set back since it rang, it rings again at once.
            let silent = rang.map(|at| self.now.duration_since(*at).abs());
            assert!(
                silent.is_some_and(|silent| silent < longest_silence(due.urgency)),
                "{:?}, due at {}, is silent for {silent:?} at {}",
                due.id,
                due.due,
                self.now
            );
        }
        let listed: Vec<AlarmId> = self.desk.bench().alarms().iter().map(|a| a.id).collect();
        assert_eq!(listed.len(), listed.iter().collect::<BTreeSet<_>>().len(), "an alarm is listed twice");
    }
}

/// The alarms that must be ringing by the entries and the forecasts, without asking the bench's own alarms for more than
/// how urgent they are.
fn due(bench: &Bench, answers: &Answers, now: Timestamp) -> Vec<Alarm> {
    let mut due_now = Vec::new();
    for (batch, stages) in bench.running().filter_map(|(batch, f)| Some((batch, &f?.stages))) {
        for stage in stages.iter().filter(|s| s.reached_at.is_none() && batch.covered_by.is_none()) {
            let id = AlarmId { batch: batch.id, stage: stage.stage };
            let due = if stage.stage.is_deadline() { stage.band.early } else { stage.band.likely };
            let Some(due) = due.filter(|due| *due <= now && !answers.is_quiet(id, now)) else { continue };
            let urgency = nightpour::bench::urgency(stage.stage);
            due_now.push(Alarm { id, due, urgency, state: AlarmState::Sounding { missed: false } });
        }
    }
    due_now
}

/// The newest answer to each alarm that still counts, read from the entries alone.
struct Answers(BTreeMap<AlarmId, Option<Timestamp>>);

impl Answers {
    fn of(entries: &[Stored]) -> Self {
        let undone = |s: &Stored| match s.entry {
            Entry::Undone { entry } => Some(entry),
            _ => None,
        };
        let undone: BTreeSet<EntryId> = entries.iter().filter_map(undone).collect();
        let mut answers = BTreeMap::new();
        for stored in entries.iter().filter(|s| !undone.contains(&s.id)) {
            match &stored.entry {
                Entry::Acknowledged { alarm } => {
                    answers.insert(*alarm, None);
                }
                Entry::Snoozed { alarm, until } => {
                    answers.insert(*alarm, Some(*until));
                }
                Entry::Observed { batch, stage, seen: Seen::NotYet { .. }, .. } => {
                    answers.remove(&AlarmId { batch: *batch, stage: *stage });
                }
                _ => {}
            }
        }
        Self(answers)
    }

    fn is_acknowledged(&self, alarm: AlarmId) -> bool {
        self.0.get(&alarm).is_some_and(Option::is_none)
    }

    fn is_quiet(&self, alarm: AlarmId, now: Timestamp) -> bool {
        self.0.get(&alarm).is_some_and(|until| until.is_none_or(|until| until > now))
    }
}

/// What a log makes of its entries: everything a screen shows of it.
fn meaning(log: &Log, now: Timestamp) -> impl PartialEq + std::fmt::Debug {
    let batches = log.batches().map(|batch| {
        let forecast = forecast(batch, log.readings(), now);
        (batch.id, batch.is_running(), batch.covered_by, batch.observations.clone(), forecast)
    });
    let readings = (log.readings().last().cloned(), log.readings().trend_c_per_h());
    let tail = log.tail().map(|(stored, undone)| (stored.id, undone)).collect::<Vec<_>>();
    (batches.collect::<Vec<_>>(), readings, tail)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_due_alarm_rings_until_it_is_answered_and_no_longer(deeds in any_deeds()) {
        let mut night = Night::begin();
        for deed in &deeds {
            night.live(deed);
        }
        let (entries, now) = (night.desk.entries(), night.now);
        let replayed = Log::replay(entries.iter().cloned());
        prop_assert_eq!(meaning(&replayed, now), meaning(night.desk.bench().log(), now));
    }

    #[test]
    fn a_refused_command_writes_nothing_and_an_obeyed_one_is_not_refused(deeds in any_deeds()) {
        let mut night = Night::begin();
        for deed in &deeds {
            let before = night.desk.entries().len();
            let refused = match deed {
                Deed::Ask(ask) => {
                    let effects = night.desk.handle(Event::Command(ask.command(night.now)), night.now);
                    effects.iter().any(|e| matches!(e, Effect::Say { refused: true, .. }))
                }
                Deed::Wait { .. } | Deed::Jump { .. } | Deed::Reopen => continue,
            };
            prop_assert_eq!(refused, night.desk.entries().len() == before);
        }
    }

    #[test]
    fn whatever_a_notebook_holds_can_be_read_in_pieces(
        news in vec((strategy::any_new_entry(), any_moment()), 0..40), cut in any::<prop::sample::Index>(),
    ) {
        let entries = notebook_of(news);
        let now = "2026-03-02T20:00:00Z".parse().unwrap();
        let cut = cut.index(entries.len() + 1);
        let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, now);
        bench.handle(Event::Entries(entries[..cut].to_vec()), now);
        // Overlapping: news may bring what is known already.
        bench.handle(Event::Entries(entries[cut.saturating_sub(2)..].to_vec()), now);
        bench.handle(Event::Tick, now);
        let whole = Log::replay(entries);
        prop_assert_eq!(meaning(&whole, now), meaning(bench.log(), now));
    }
}

/// Any moment, the first and the last there are among them.
fn any_moment() -> impl Strategy<Value = Timestamp> {
    prop_oneof![2 => strategy::any_time(), 1 => Just(Timestamp::MIN), 1 => Just(Timestamp::MAX)]
}

/// A notebook of such entries whose batches have a profile, so that their clocks run.
fn notebook_of(news: Vec<(NewEntry, Timestamp)>) -> Vec<Stored> {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let (fingerprint, toml) = (item.fingerprint.clone(), item.source.clone().into_owned());
    let kept = Entry::Profile { fingerprint: fingerprint.clone(), material: item.profile.id.clone(), toml };
    let told = news.into_iter().map(|(new, happened)| match new.entry {
        Entry::Mixed(mix) => (happened, Entry::Mixed(Mix { profile: fingerprint.clone(), ..mix })),
        entry => (happened, entry),
    });
    let all = [(Timestamp::UNIX_EPOCH, kept)].into_iter().chain(told).zip(1..);
    all.map(|((happened, entry), id)| Stored { id: EntryId(id), happened, written: happened, entry }).collect()
}

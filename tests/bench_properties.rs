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
    Alarm, AlarmId, Batch, BatchForecast, BatchId, Bench, Effect, Entry, EntryId, Event, Log, Mix, NewEntry, Part,
    Reason, Seen, StageStatus, Standing, Stored, Urgency, forecast,
};
use nightpour::material::{Catalogue, Stage};
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
    /// The latest moment each ringing alarm has rung at, which a clock set back does not undo.
    known_due: BTreeMap<AlarmId, Timestamp>,
    /// Answers given to a ringing alarm, and when that was known to be due.
    while_ringing: BTreeMap<EntryId, Timestamp>,
}

impl Night {
    fn begin() -> Self {
        let now: Timestamp = "2026-03-02T20:00:00Z".parse().unwrap();
        let (desk, _) = Desk::open(Catalogue::embedded(), Vec::new(), TimeZone::UTC, now);
        Self { desk, now, last_rang: BTreeMap::new(), known_due: BTreeMap::new(), while_ringing: BTreeMap::new() }
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
                self.known_due.clear();
                self.while_ringing.clear();
                self.check(&effects);
            }
            Deed::Ask(ask) => {
                let command = ask.command(self.now);
                let before = self.desk.entries().len();
                let effects = self.desk.handle(Event::Command(command), self.now);
                for stored in &self.desk.entries()[before..] {
                    if let Entry::Acknowledged { alarm } | Entry::Snoozed { alarm, .. } = &stored.entry
                        && let Some(due) = self.known_due.get(alarm)
                    {
                        self.while_ringing.insert(stored.id, *due);
                    }
                }
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

    fn alarm(&self, id: AlarmId) -> Alarm {
        let found = self.desk.bench().alarms().iter().find(|a| a.id == id);
        *found.unwrap_or_else(|| panic!("{id:?} must ring, and is not listed"))
    }

    fn check(&mut self, effects: &[Effect]) {
        let answers = Answers::of(self.desk.entries(), &self.while_ringing);
        for effect in effects {
            match effect {
                Effect::Ring(notice) => {
                    let due = self.alarm(notice.alarm).due;
                    let answered = answers.acknowledged(notice.alarm, due);
                    assert!(!answered, "{:?}, due at {due}, was acknowledged and rings", notice.alarm);
                    self.last_rang.insert(notice.alarm, self.now);
                    let known = self.known_due.entry(notice.alarm).or_insert(self.now);
                    *known = self.now.max(*known);
                }
                Effect::Hush(alarm) => {
                    self.known_due.remove(alarm);
                    assert!(self.last_rang.remove(alarm).is_some(), "{alarm:?} falls silent that never rang");
                }
                Effect::Say { .. } => {}
                Effect::Write(_) => panic!("the desk writes"),
            }
        }
        for (id, due) in must_ring(self.desk.bench(), &answers, self.now) {
            let alarm = self.alarm(id);
            let rang = self.last_rang.get(&id);
            // Where the clock was set back since it rang, it rings again at once.
            let silent = rang.map(|at| self.now.duration_since(*at).abs());
            assert!(
                silent.is_some_and(|silent| silent < longest_silence(alarm.urgency)),
                "{id:?}, due at {due}, is silent for {silent:?} at {}",
                self.now
            );
        }
        for batch in standing(self.desk.bench()) {
            let told = |a: &&Alarm| a.id.batch() == Some(batch) && a.reason == Reason::ClockStands;
            assert!(self.desk.bench().alarms().iter().any(|a| told(&a)), "batch {batch} stands, and nothing says so");
        }
        let listed: Vec<AlarmId> = self.desk.bench().alarms().iter().map(|a| a.id).collect();
        assert_eq!(listed.len(), listed.iter().collect::<BTreeSet<_>>().len(), "an alarm is listed twice");
    }
}

/// What must be ringing: a batch that nobody finished or covered, a stage that nobody saw, whose moment has come, and
/// no answer that still counts.
fn must_ring(bench: &Bench, answers: &Answers, now: Timestamp) -> Vec<(AlarmId, Timestamp)> {
    let mut due_now = Vec::new();
    for (batch, forecast) in bench.running().filter(|(batch, _)| batch.covered_by.is_none()) {
        let stages = forecast.map(|f| f.stages.as_slice()).unwrap_or_default();
        let waits = |stage: Stage| !(stage.is_next_layer() && nothing_follows(bench, batch));
        let asked = |status: StageStatus| status != StageStatus::Seen && status != StageStatus::Never;
        for stage in stages.iter().filter(|s| asked(s.status) && waits(s.stage)) {
            let id = AlarmId::of(batch.id, stage.stage);
            let due = if stage.stage.is_deadline() { stage.band.early } else { stage.band.likely };
            due_now.extend(due.filter(|due| *due <= now && !answers.quiet(id, *due, now)).map(|due| (id, due)));
        }
    }
    due_now
}

/// Whether nothing will be poured onto this batch while its window is open: its piece is full or done, or sets cold first.
fn nothing_follows(bench: &Bench, batch: &Batch) -> bool {
    let Some((piece, layer)) = batch.mix.part.and_then(Part::layer) else { return false };
    let running = bench.pieces().find(|(on_bench, _)| on_bench.id == piece);
    match running {
        Some((_, standing)) => standing
            .is_some_and(|s| s.next_layer().is_none_or(|next| next.cold) && s.laid.last().unwrap().number == layer),
        None => bench.log().piece(piece).is_some(),
    }
}

/// The batches of which somebody waits for a stage that will not come.
fn standing(bench: &Bench) -> Vec<BatchId> {
    let waits = |f: &BatchForecast| f.stages.iter().any(|s| s.status == StageStatus::Never);
    let running = bench.running().filter(|(batch, _)| batch.covered_by.is_none());
    running.filter(|(_, f)| f.is_some_and(|f| f.stands() && waits(f))).map(|(batch, _)| batch.id).collect()
}

/// An acknowledgement counts for what falls due this long after it, and for no more: what the bench promises.
const COUNTS_FOR: SignedDuration = SignedDuration::from_mins(5);

/// The newest answer to each alarm that still counts, read from the entries alone.
struct Answers(BTreeMap<AlarmId, (Timestamp, Option<Timestamp>)>);

impl Answers {
    fn of(entries: &[Stored], while_ringing: &BTreeMap<EntryId, Timestamp>) -> Self {
        let undone = |s: &Stored| match s.entry {
            Entry::Undone { entry } => Some(entry),
            _ => None,
        };
        let undone: BTreeSet<EntryId> = entries.iter().filter_map(undone).collect();
        let mut answers = BTreeMap::new();
        for stored in entries.iter().filter(|s| !undone.contains(&s.id)) {
            let at = while_ringing.get(&stored.id).map_or(stored.happened, |due| stored.happened.max(*due));
            match &stored.entry {
                Entry::Acknowledged { alarm } => {
                    answers.insert(*alarm, (at, None));
                }
                Entry::Snoozed { alarm, until } => {
                    answers.insert(*alarm, (at, Some(*until)));
                }
                Entry::Observed { batch, stage, seen: Seen::NotYet { .. }, .. } => {
                    answers.remove(&AlarmId::of(*batch, *stage));
                }
                _ => {}
            }
        }
        Self(answers)
    }

    fn acknowledged(&self, alarm: AlarmId, due: Timestamp) -> bool {
        self.0.get(&alarm).is_some_and(|(at, until)| until.is_none() && *at + COUNTS_FOR >= due)
    }

    fn quiet(&self, alarm: AlarmId, due: Timestamp, now: Timestamp) -> bool {
        let snoozed = |(at, until): &(Timestamp, Option<Timestamp>)| {
            *at + COUNTS_FOR >= due && until.is_some_and(|until| until > now)
        };
        self.acknowledged(alarm, due) || self.0.get(&alarm).is_some_and(snoozed)
    }
}

/// What a log makes of its entries: everything a screen shows of it.
fn meaning(log: &Log, now: Timestamp) -> impl PartialEq + std::fmt::Debug {
    let batches = log.batches().map(|batch| {
        let forecast = forecast(batch, log.readings(), None, now);
        (batch.id, batch.is_running(), batch.covered_by, batch.observations.clone(), forecast)
    });
    let readings = (log.readings().last().cloned(), log.readings().trend_c_per_h());
    let tail = log.tail().map(|(stored, undone)| (stored.id, undone)).collect::<Vec<_>>();
    let pieces =
        log.pieces().map(|piece| (piece.id, piece.name(), Standing::of(piece, log, &Catalogue::embedded(), now)));
    (batches.collect::<Vec<_>>(), readings, tail, pieces.collect::<Vec<_>>())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(10))]

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

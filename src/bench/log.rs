//! The notebook folded into what it means: batches, readings, answers. A pure fold, entry by entry.

mod shift;

use super::alarm_id::AlarmId;
use super::batch::{AlarmAnswer, Answer, Batch, Figures, Observation};
use super::bedtime::Bedtime;
use super::command::Refusal;
use super::entry::{BatchId, Entry, EntryId, PieceId, Recalled, Stored};
use super::piece::{BenchPiece, Measured};
use super::place::Place;
use super::readings::{Reading, Readings};
use super::tie::later;
use crate::material::{Fingerprint, MaterialId, Profile, read_profile};
use jiff::{SignedDuration, Timestamp};
use std::collections::{BTreeMap, BTreeSet, VecDeque};
use std::sync::Arc;

/// How many of the newest entries are kept word for word for the notebook pane and for undo.
const TAIL: usize = 400;

/// Everything the notebook says.
#[derive(Debug, Clone, Default)]
pub struct Log {
    last: Option<EntryId>,
    /// The newest entry that may move a plan.
    last_deed: Option<EntryId>,
    /// By number, from 1; `None` for a mix that was passed over, whose number nobody else gets.
    batches: Vec<Option<Batch>>,
    /// By number, from 1, likewise.
    pieces: Vec<Option<BenchPiece>>,
    readings: Readings,
    pub(super) bedtime: Bedtime,
    /// What was answered to alarms that are about no batch.
    silence_answers: Vec<AlarmAnswer>,
    /// What is remembered from before the notebook, in the order it was told.
    recalled: BTreeMap<EntryId, Recalled>,
    profiles: BTreeMap<Fingerprint, Option<Arc<Profile>>>,
    tail: VecDeque<Stored>,
    undone: BTreeSet<EntryId>,
}

impl Log {
    /// Folds `entries`, which must come in the notebook's order, into a new log.
    pub fn replay(entries: impl IntoIterator<Item = Stored>) -> Self {
        let mut log = Self::default();
        for stored in entries {
            log.apply(stored);
        }
        log
    }

    /// Folds `entries` into the log as it was known at `at`, by the clock as it is set now: what happened later has no effect.
    pub fn as_known_at(at: Timestamp, entries: impl IntoIterator<Item = Stored>) -> Self {
        let entries: Vec<Stored> = entries.into_iter().collect();
        // How far the clock was set after each entry, the newest first; each time for those after a certain one only.
        let mut sets: Vec<(EntryId, SignedDuration)> = Vec::new();
        let mut known: Vec<bool> = Vec::with_capacity(entries.len());
        for stored in entries.iter().rev() {
            known.push(match &stored.entry {
                // Profiles are kept when first used, which for a back-dated mix is after it; they are no event of the bench.
                Entry::Profile { .. } => true,
                Entry::ClockSet { by_us, after } => {
                    sets.push((*after, SignedDuration::from_micros(*by_us)));
                    true
                }
                _ => {
                    let since = sets.iter().filter(|(after, _)| stored.id > *after);
                    since.fold(stored.happened, |happened, (_, by)| later(happened, *by)) <= at
                }
            });
        }
        let known = known.into_iter().rev();
        Self::replay(
            entries.into_iter().zip(known).map(|(stored, known)| if known { stored } else { stored.passed_over() }),
        )
    }

    /// Takes in one more entry. Entries already seen are passed over, so that a batch of news may overlap.
    pub fn apply(&mut self, stored: Stored) {
        if self.last.is_some_and(|last| stored.id <= last) {
            return;
        }
        self.last = Some(stored.id);
        if stored.entry.is_deed() {
            self.last_deed = Some(stored.id);
        }
        self.fold(&stored);
        // A whole table of what is remembered would push tonight's entries out of sight.
        if !matches!(stored.entry, Entry::Profile { .. } | Entry::PassedOver { .. } | Entry::Recalled(_)) {
            if self.tail.len() == TAIL {
                self.tail.pop_front();
            }
            self.tail.push_back(stored);
        }
    }

    fn fold(&mut self, stored: &Stored) {
        match &stored.entry {
            // Read already: the fingerprint stands for this very text.
            Entry::Profile { fingerprint, material, .. } if self.has_read(fingerprint, material) => {}
            Entry::Profile { fingerprint, material, toml } => {
                let profile = read_profile(material.clone(), toml).ok().map(|read| Arc::new(read.value));
                self.profiles.insert(fingerprint.clone(), profile);
            }
            Entry::Mixed(mix) => self.start_batch(stored, mix.clone()),
            Entry::Observed { batch, stage, seen, test, trust, within } => {
                let (test, trust, within) = (test.clone(), *trust, *within);
                let observation = Observation { entry: stored.id, stage: *stage, seen: *seen, test, trust, within };
                if let Some(batch) = self.batch_mut(*batch) {
                    batch.observations.push(observation);
                }
            }
            Entry::Adopted { batch, profile } => {
                // Figures that cannot be read change nothing: the former clock runs on.
                let figures = Some(self.figures(profile)).filter(|figures| figures.profile.is_some());
                if let (Some(batch), Some(figures)) = (self.batch_mut(*batch), figures) {
                    batch.adopt(stored.id, figures);
                }
            }
            Entry::Recalled(recalled) => {
                self.recalled.insert(stored.id, recalled.clone());
            }
            Entry::Reading { celsius, humidity, source } => self.readings.insert(Reading {
                entry: stored.id,
                at: stored.happened,
                celsius: *celsius,
                humidity: *humidity,
                source: source.clone(),
            }),
            Entry::Done { batch } => {
                if let Some(batch) = self.batch_mut(*batch) {
                    batch.done.get_or_insert(stored.id);
                }
            }
            Entry::PieceStarted { toml, meshes, .. } => {
                let id = PieceId(number_after(&self.pieces));
                self.pieces.push(Some(BenchPiece::started(id, stored.id, stored.happened, toml, meshes)));
            }
            Entry::Ticked { piece, step } => {
                if let Some(piece) = self.piece_mut(*piece) {
                    piece.ticked.push((stored.id, *step));
                }
            }
            Entry::NightPlanned { piece, pours } => {
                if let Some(piece) = self.piece_mut(*piece) {
                    piece.nights.push((stored.id, pours.clone()));
                }
            }
            Entry::Levelled { piece, level_mm } => {
                if let Some(piece) = self.piece_mut(*piece) {
                    piece.measured.push(Measured { entry: stored.id, at: stored.happened, level_mm: level_mm.get() });
                }
            }
            Entry::PieceDone { piece } => {
                if let Some(piece) = self.piece_mut(*piece) {
                    piece.done.get_or_insert(stored.id);
                }
            }
            Entry::Acknowledged { alarm } => self.answer(stored, *alarm, Answer::Acknowledged),
            Entry::Snoozed { alarm, until } => self.answer(stored, *alarm, Answer::SnoozedUntil(*until)),
            Entry::ClockSet { by_us, after } => self.shift(SignedDuration::from_micros(*by_us), *after),
            Entry::Undone { entry } => self.undo(*entry),
            Entry::PassedOver { .. } if stored.entry.is_mix() => self.batches.push(None),
            Entry::PassedOver { .. } if stored.entry.starts_piece() => self.pieces.push(None),
            Entry::Tonight(tonight) => self.readings.expect(stored.id, tonight.clone()),
            Entry::Bedtime { promised } => self.bedtime.begin(stored.id, stored.happened, promised),
            Entry::Moved { alarm, to, .. } => self.bedtime.moved(*alarm, *to),
            // What became of the alarms is for looking back; it changes nothing of the bench.
            Entry::Slept { .. } | Entry::Rang { .. } | Entry::PassedOver { .. } => {}
        }
    }

    fn has_read(&self, fingerprint: &Fingerprint, material: &MaterialId) -> bool {
        self.profiles.get(fingerprint).and_then(Option::as_ref).is_some_and(|profile| profile.id == *material)
    }

    fn start_batch(&mut self, stored: &Stored, mix: super::Mix) {
        let id = BatchId(number_after(&self.batches));
        if let Some(below) = mix.onto.and_then(|onto| self.batch_mut(onto)) {
            below.covered_by = Some(id);
        }
        let figures = self.figures(&mix.profile);
        self.batches.push(Some(Batch {
            id,
            entry: stored.id,
            profile: figures.profile.clone(),
            figures: vec![(stored.id, figures)],
            mix,
            started: stored.happened,
            observations: Vec::new(),
            covered_by: None,
            answers: Vec::new(),
            done: None,
            undone: false,
        }));
    }

    fn figures(&self, fingerprint: &Fingerprint) -> Figures {
        let profile = self.profiles.get(fingerprint).cloned().flatten();
        Figures { fingerprint: fingerprint.clone(), profile }
    }

    fn answer(&mut self, stored: &Stored, alarm: AlarmId, answer: Answer) {
        let answer = AlarmAnswer { entry: stored.id, alarm, at: stored.happened, answer };
        match alarm.batch() {
            Some(batch) => {
                if let Some(batch) = self.batch_mut(batch) {
                    batch.answers.push(answer);
                }
            }
            None => self.silence_answers.push(answer),
        }
    }

    fn undo(&mut self, entry: EntryId) {
        self.undone.insert(entry);
        if self.readings.remove(entry) || self.recalled.remove(&entry).is_some() {
            return;
        }
        self.silence_answers.retain(|answer| answer.entry != entry);
        for piece in self.pieces.iter_mut().flatten() {
            piece.undo(entry);
        }
        let mut uncovered = None;
        for batch in self.batches.iter_mut().flatten() {
            if batch.entry == entry {
                batch.undone = true;
                uncovered = batch.mix.onto;
            }
            batch.observations.retain(|o| o.entry != entry);
            batch.answers.retain(|a| a.entry != entry);
            batch.forget_adopted(entry);
            if batch.done == Some(entry) {
                batch.done = None;
            }
        }
        if let Some(onto) = uncovered {
            // Another batch may have been poured onto it as well, and still covers it.
            let covered_by = self.batches().rfind(|b| b.mix.onto == Some(onto)).map(|b| b.id);
            if let Some(below) = self.batch_mut(onto) {
                below.covered_by = covered_by;
            }
        }
    }

    fn batch_mut(&mut self, id: BatchId) -> Option<&mut Batch> {
        self.batches.get_mut((id.0 as usize).checked_sub(1)?)?.as_mut()
    }

    /// The newest answer to each alarm about a silence.
    pub(super) fn silence_answers(&self) -> Vec<AlarmAnswer> {
        Place::ALL.into_iter().filter_map(|place| self.silence_answer(place)).collect()
    }

    /// The newest answer to the alarm that `silent` is not read any more.
    pub(super) fn silence_answer(&self, silent: Place) -> Option<AlarmAnswer> {
        let meant = AlarmId::Silence { silent };
        self.silence_answers.iter().filter(|answer| answer.alarm == meant).max_by_key(|answer| answer.entry).copied()
    }

    /// The newest entry taken in; 0 before the first.
    pub fn last(&self) -> EntryId {
        self.last.unwrap_or(EntryId(0))
    }

    /// The newest entry that may move a plan: something done or seen, no reading and no word about an alarm.
    pub fn last_deed(&self) -> EntryId {
        self.last_deed.unwrap_or(EntryId(0))
    }

    /// Every batch ever mixed, undone ones left out.
    pub fn batches(&self) -> impl DoubleEndedIterator<Item = &Batch> {
        self.batches.iter().flatten().filter(|b| !b.undone)
    }

    /// The batches whose clocks run, oldest first.
    pub fn running(&self) -> impl DoubleEndedIterator<Item = &Batch> {
        self.batches().filter(|b| b.is_running())
    }

    /// A batch by its number, unless its mix was undone or passed over.
    pub fn batch(&self, id: BatchId) -> Option<&Batch> {
        self.batches.get((id.0 as usize).checked_sub(1)?)?.as_ref().filter(|b| !b.undone)
    }

    /// The number of the batch that the entry `mix` started, also where that was undone.
    pub fn number_of(&self, mix: EntryId) -> Option<BatchId> {
        self.batches.iter().flatten().find(|b| b.entry == mix).map(|b| b.id)
    }

    /// The pieces on the bench, oldest first.
    pub fn pieces(&self) -> impl DoubleEndedIterator<Item = &BenchPiece> {
        self.pieces.iter().flatten().filter(|piece| piece.is_running())
    }

    /// A piece by its number, also when it is done; not when its start was undone or passed over.
    pub fn piece(&self, id: PieceId) -> Option<&BenchPiece> {
        self.pieces.get((id.0 as usize).checked_sub(1)?)?.as_ref().filter(|piece| !piece.undone)
    }

    /// The number of the piece that the entry `start` started, also where that was undone.
    pub fn piece_number_of(&self, start: EntryId) -> Option<PieceId> {
        self.pieces.iter().flatten().find(|piece| piece.entry == start).map(|piece| piece.id)
    }

    /// The piece meant: the one of this number, or the only one on the bench.
    pub fn piece_on_bench(&self, id: Option<PieceId>) -> Result<&BenchPiece, Refusal> {
        let Some(id) = id else {
            let mut pieces = self.pieces();
            return match (pieces.next(), pieces.next()) {
                (None, _) => Err(Refusal::NoPiece),
                (Some(only), None) => Ok(only),
                (Some(_), Some(_)) => Err(Refusal::WhichPiece(self.pieces().map(|piece| piece.id).collect())),
            };
        };
        let piece = self.piece(id).ok_or(Refusal::UnknownPiece(id))?;
        if piece.is_running() { Ok(piece) } else { Err(Refusal::PieceDone(id)) }
    }

    fn piece_mut(&mut self, id: PieceId) -> Option<&mut BenchPiece> {
        self.pieces.get_mut((id.0 as usize).checked_sub(1)?)?.as_mut()
    }

    /// What is remembered from before the notebook, each with its entry, oldest first.
    pub fn recalled(&self) -> impl Iterator<Item = (EntryId, &Recalled)> {
        self.recalled.iter().map(|(entry, recalled)| (*entry, recalled))
    }

    pub fn readings(&self) -> &Readings {
        &self.readings
    }

    /// Whether the notebook already keeps this profile's text.
    pub fn keeps_profile(&self, fingerprint: &Fingerprint) -> bool {
        self.profiles.contains_key(fingerprint)
    }

    /// The newest entries, oldest first, with whether each was undone.
    pub fn tail(&self) -> impl DoubleEndedIterator<Item = (&Stored, bool)> {
        self.tail.iter().map(|stored| (stored, self.undone.contains(&stored.id)))
    }

    /// The newest entry that can be undone.
    pub fn last_undoable(&self) -> Option<EntryId> {
        self.tail().rev().find_map(|(stored, undone)| (!undone && self.can_undo(stored.id)).then_some(stored.id))
    }

    /// Whether `entry` is something that can be undone and was not yet.
    pub fn can_undo(&self, entry: EntryId) -> bool {
        let of_batch = |b: &Batch| {
            (b.entry == entry && !b.undone)
                || b.done == Some(entry)
                || b.observations.iter().any(|o| o.entry == entry)
                || b.answers.iter().any(|a| a.entry == entry)
                || b.has_adopted(entry)
        };
        let of_piece = |piece: &BenchPiece| piece.holds(entry);
        self.readings.contains(entry)
            || self.silence_answers.iter().any(|answer| answer.entry == entry)
            || self.recalled.contains_key(&entry)
            || self.pieces.iter().flatten().any(of_piece)
            || self.batches.iter().flatten().any(of_batch)
    }
}

/// The number of the next of `so_far`. Four thousand million of them will not be reached.
fn number_after<T>(so_far: &[T]) -> u32 {
    u32::try_from(so_far.len() + 1).unwrap_or(u32::MAX)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::entry::Seen;
    use crate::bench::testing::{Story, at};
    use crate::material::Stage;
    use crate::text::PlainText;

    #[test]
    fn news_may_overlap_what_is_known() {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        let mut log = story.log();
        for stored in story.entries() {
            log.apply(stored.clone());
        }
        assert_eq!((log.batches().count(), log.readings().since(at(-120)).len()), (1, 1));
        assert_eq!(log.last(), EntryId(3));
    }

    #[test]
    fn an_undone_mix_keeps_its_number_to_itself() {
        let mut story = Story::new();
        let (first, mixed) = story.pour(0, "clear-polyester", None);
        story.undo(1, mixed);
        let second = story.mix(2, "clear-polyester");
        let log = story.log();
        assert!(log.batch(first).is_none() && log.batch(BatchId(0)).is_none() && log.batch(BatchId(9)).is_none());
        assert_eq!(log.running().map(|b| b.id).collect::<Vec<_>>(), [second]);
        assert!(!log.can_undo(mixed));
    }

    #[test]
    fn a_mix_of_later_keeps_its_number_from_the_earlier_ones() {
        let mut story = Story::at_20_c();
        let later = story.mix(60, "clear-polyester");
        let back_dated = story.mix(10, "clear-polyester");
        story.see(50, back_dated, Stage::Gel, Seen::At { at: at(50) });
        story.write(61, Entry::Done { batch: back_dated });
        let log = Log::as_known_at(at(30), story.entries().iter().cloned());
        assert_eq!(log.running().map(|b| b.id).collect::<Vec<_>>(), [back_dated]);
        assert!(log.batch(later).is_none() && log.batch(back_dated).unwrap().reached(Stage::Gel).is_none());
        assert!(log.batch(back_dated).unwrap().profile.is_some(), "kept when it was told, after it was mixed");
        let log = Log::as_known_at(at(61), story.entries().iter().cloned());
        assert_eq!(log.running().map(|b| b.id).collect::<Vec<_>>(), [later]);
    }

    #[test]
    fn a_mix_that_is_passed_over_is_no_batch_and_keeps_its_number() {
        let mut story = Story::at_20_c();
        let passed = |kind: &str| Entry::PassedOver { kind: PlainText::new(kind) };
        let unread = story.write(0, passed("mixed"));
        story.write(1, passed("vacuumed"));
        story.write(2, Entry::Done { batch: BatchId(1) });
        story.mix(3, "clear-polyester");
        story.undo(4, unread);
        let log = story.log();
        assert!(log.batch(BatchId(1)).is_none() && !log.can_undo(unread));
        assert_eq!(log.running().map(|b| b.id).collect::<Vec<_>>(), [BatchId(2)]);
        assert!(log.tail().all(|(stored, _)| !matches!(stored.entry, Entry::PassedOver { .. })));
    }

    #[test]
    fn a_layer_is_covered_as_long_as_any_layer_lies_on_it() {
        let mut story = Story::new();
        let below = story.mix(0, "clear-polyester");
        let (first, first_mixed) = story.pour(60, "clear-polyester", Some(below));
        let (second, second_mixed) = story.pour(61, "clear-polyester", Some(below));
        let covered_by = |story: &Story| story.log().batch(below).unwrap().covered_by;
        assert_eq!(covered_by(&story), Some(second));
        story.undo(62, second_mixed);
        assert_eq!(covered_by(&story), Some(first));
        story.undo(63, first_mixed);
        assert_eq!(covered_by(&story), None);
    }

    #[test]
    fn undoing_brings_back_what_was_before() {
        let mut story = Story::at_20_c();
        let batch = story.mix(0, "clear-polyester");
        let warm = story.read(5, 30.0);
        let seen = story.see(30, batch, Stage::Gel, Seen::At { at: at(30) });
        let done = story.write(40, Entry::Done { batch });
        assert_eq!(story.log().running().count(), 0);
        for entry in [done, seen, warm] {
            assert!(story.log().can_undo(entry));
            story.undo(50, entry);
            assert!(!story.log().can_undo(entry), "once is enough");
        }
        let log = story.log();
        assert!(log.batch(batch).unwrap().is_running() && log.batch(batch).unwrap().reached(Stage::Gel).is_none());
        assert!((log.readings().last().unwrap().celsius.get() - 20.0).abs() < 1e-12);
    }

    #[test]
    fn entries_about_batches_never_mixed_change_nothing() {
        let mut story = Story::new();
        story.write(0, Entry::Done { batch: BatchId(7) });
        story.see(1, BatchId(0), Stage::Gel, Seen::At { at: at(1) });
        story.undo(2, EntryId(99));
        story.mix(3, "clear-polyester");
        assert_eq!(story.log().running().map(|b| b.observations.len()).collect::<Vec<_>>(), [0]);
    }

    #[test]
    fn the_tail_keeps_the_newest_entries_and_no_profiles() {
        let mut story = Story::new();
        story.mix(0, "clear-polyester");
        for minute in 1..=401 {
            story.read(minute, 20.0);
        }
        let log = story.log();
        let ids: Vec<i64> = log.tail().map(|(stored, _)| stored.id.0).collect();
        assert_eq!((ids.len(), ids[0], ids[399]), (TAIL, 4, 403));
    }
}

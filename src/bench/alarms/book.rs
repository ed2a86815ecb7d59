//! Every alarm of the bench, and which of them have rung.

use super::{Alarm, AlarmState, Reason, due, repeat_every, urgency};
use crate::bench::alarm_id::{AlarmId, Phase};
use crate::bench::batch::{AlarmAnswer, Answer, Batch};
use crate::bench::entry::{BatchId, EntryId};
use crate::bench::forecast::{BatchForecast, StageForecast};
use crate::bench::log::Log;
use crate::bench::night::PlannedPour;
use crate::bench::notice::Urgency;
use crate::bench::place::Place;
use crate::bench::rules::{AlarmRules, AtNight};
use crate::bench::tie::later;
use crate::material::{MaterialId, Stage};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use std::collections::{BTreeMap, BTreeSet};

/// An alarm that fell due this long before it could be heard counts as missed rather than as ringing on time.
const MISSED_AFTER: SignedDuration = SignedDuration::from_secs(60);
/// Woken this much later than it asked for, the bench was asleep with its machine: the lid was shut.
const ASLEEP_AFTER: SignedDuration = SignedDuration::from_mins(10);
/// A ringing alarm whose forecast moves later by less than this keeps ringing: it would only stutter.
const STUTTER: SignedDuration = SignedDuration::from_secs(120);
/// An answer counts for an alarm that fell due this long after it: the forecast wavered. One that moved further asks
/// again.
const GOOD_FOR: SignedDuration = SignedDuration::from_mins(5);

/// An entry after all that are written.
const NEWEST: EntryId = EntryId(i64::MAX);

#[derive(Debug, Clone, Copy)]
struct Rung {
    last: Timestamp,
    /// The latest moment it is known to have been due at: a clock set back does not undo that.
    due_by: Timestamp,
    count: u32,
    missed: bool,
    /// The answer there was when it began to ring, which did not count: only a newer one silences it.
    stale: Option<EntryId>,
}

#[derive(Debug, Clone)]
pub(in crate::bench) struct AlarmBook {
    /// Since when the alarms could be heard.
    awake_since: Timestamp,
    alarms: Vec<Alarm>,
    rung: BTreeMap<AlarmId, Rung>,
    /// Answers given while an alarm rang, and the moment it was known to be due at: later than the answer's own time
    /// where the clock was set back meanwhile.
    heard: BTreeMap<AlarmId, (EntryId, Timestamp)>,
    /// Answers that the notebook could not take yet: they count all the same.
    unwritten: BTreeMap<AlarmId, AlarmAnswer>,
}

/// What changed with the ringing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::bench) enum Sound {
    /// Ring now, for the `count`-th time.
    Ring { alarm: AlarmId, count: u32 },
    /// Stop ringing: answered, or no longer due.
    Hush(AlarmId),
}

/// What the alarms follow from, beside the time.
pub(in crate::bench) struct Bearing<'a> {
    pub log: &'a Log,
    pub forecasts: &'a BTreeMap<BatchId, BatchForecast>,
    /// Batches for whose next-layer window nobody waits.
    pub unawaited: &'a BTreeSet<BatchId>,
    /// When the next layer is to be poured onto a batch, where a plan for the night was accepted.
    pub planned: &'a BTreeMap<BatchId, PlannedPour>,
    pub rules: &'a AlarmRules,
    pub zone: &'a TimeZone,
}

/// The bearing at one moment.
struct Present<'a> {
    bearing: &'a Bearing<'a>,
    now: Timestamp,
    /// When the quiet hours end that hold now.
    quiet_until: Option<Timestamp>,
}

/// An alarm before it is known whether it rings.
#[derive(Clone, Copy)]
struct Found {
    id: AlarmId,
    reason: Reason,
    due: Timestamp,
    urgency: Urgency,
    wakes: bool,
}

impl AlarmBook {
    pub fn new(opened: Timestamp) -> Self {
        Self {
            awake_since: opened,
            alarms: Vec::new(),
            rung: BTreeMap::new(),
            heard: BTreeMap::new(),
            unwritten: BTreeMap::new(),
        }
    }

    /// Notes that the bench asked to be woken at `expected`, and it is `now`.
    pub fn woken(&mut self, expected: Timestamp, now: Timestamp) {
        if now >= later(expected, ASLEEP_AFTER) {
            self.awake_since = now;
        }
    }

    /// Lets an answer count that could not be written down yet.
    pub fn answer_unwritten(&mut self, alarm: AlarmId, at: Timestamp, answer: Answer) {
        self.unwritten.insert(alarm, AlarmAnswer { entry: NEWEST, alarm, at, answer });
    }

    /// All answers stand in the notebook now.
    pub fn all_written(&mut self) {
        self.unwritten.clear();
    }

    /// Notes that nothing could be heard before `now`: the machine slept.
    pub fn awake_from(&mut self, now: Timestamp) {
        self.awake_since = now;
    }

    /// The machine's clock was set forward by so much: what is remembered in its time goes along.
    pub fn shift(&mut self, by: SignedDuration) {
        let moved = |at: &mut Timestamp| *at = later(*at, by);
        moved(&mut self.awake_since);
        for rung in self.rung.values_mut() {
            moved(&mut rung.last);
            moved(&mut rung.due_by);
        }
        self.heard.values_mut().for_each(|(_, due)| moved(due));
    }

    /// All alarms: the sounding ones first, the more urgent before the less, then by when they are due.
    pub fn alarms(&self) -> &[Alarm] {
        &self.alarms
    }

    /// Brings the book up to `now` and says what has to sound or fall silent.
    pub fn refresh(&mut self, bearing: &Bearing<'_>, now: Timestamp) -> Vec<Sound> {
        let quiet_until = bearing.rules.quiet.and_then(|quiet| quiet.end(now, bearing.zone));
        let present = Present { bearing, now, quiet_until };
        let mut newest = BTreeMap::new();
        let mut alarms = Vec::new();
        for batch in bearing.log.running() {
            self.hear(&batch.newest_answers(), &mut newest);
            // A covered layer has nothing left to ask of anybody: the layer on top of it rings for the whole piece.
            if let Some(forecast) = bearing.forecasts.get(&batch.id).filter(|_| batch.covered_by.is_none()) {
                self.of_batch(&present, batch, forecast, &mut alarms);
            }
        }
        self.hear(&bearing.log.silence_answers(), &mut newest);
        self.silences(&present, &mut alarms);
        alarms.sort_by_key(|a| {
            let sounding = a.is_sounding();
            (!sounding, std::cmp::Reverse(sounding.then_some(a.urgency)), a.target(), a.id)
        });
        self.alarms = alarms;
        self.sound(&newest, now)
    }

    /// Takes in the answers given while their alarms rang; adds each to `newest`.
    fn hear(&mut self, answers: &[AlarmAnswer], newest: &mut BTreeMap<AlarmId, EntryId>) {
        for answer in answers {
            newest.insert(answer.alarm, answer.entry);
            let counts = |rung: &&Rung| rung.stale.is_none_or(|stale| answer.entry > stale);
            if let Some(rung) = self.rung.get(&answer.alarm).filter(counts) {
                self.heard.insert(answer.alarm, (answer.entry, rung.due_by));
            }
        }
    }

    fn of_batch(&self, present: &Present<'_>, batch: &Batch, forecast: &BatchForecast, into: &mut Vec<Alarm>) {
        let unawaited = present.bearing.unawaited.contains(&batch.id);
        // What sets cold first has no window to wait for, unless its time was planned.
        let called = |stage: Stage| stage == Stage::NextLayerOpens && present.bearing.planned.contains_key(&batch.id);
        let awaited =
            |s: &&StageForecast| s.reached_at.is_none() && !(s.stage.is_next_layer() && unawaited && !called(s.stage));
        let stages: Vec<&StageForecast> = forecast.stages.iter().filter(awaited).collect();
        for stage in &stages {
            let Some(due) = self.stage_due(present, batch, forecast, stage) else { continue };
            into.extend(self.ahead(present, batch, &due));
            into.extend(self.missed(present, batch, stage, &due));
            into.push(due);
        }
        into.extend(self.clock_stands(present, batch, forecast, &stages));
    }

    /// The alarm of a stage that will come.
    fn stage_due(
        &self,
        present: &Present<'_>,
        batch: &Batch,
        forecast: &BatchForecast,
        stage: &StageForecast,
    ) -> Option<Alarm> {
        let due = self::due(stage)?;
        // Whoever goes by a plan is not called before it says so, as long as the window is then likely open.
        let planned = present.bearing.planned.get(&batch.id).filter(|planned| planned.keeps(forecast));
        let due = match planned {
            Some(planned) if stage.stage == Stage::NextLayerOpens => due.max(planned.at),
            _ => due,
        };
        // What is over is worth knowing, and no more.
        let over = match stage.stage {
            Stage::PotLife => stage.band.late.is_some_and(|late| late <= present.now),
            Stage::NextLayerOpens => forecast.window_is_over(present.now),
            _ => false,
        };
        let urgency = if over { Urgency::Low } else { urgency(stage.stage) };
        let id = AlarmId::of(batch.id, stage.stage);
        // That it may close before the planned pour was told, and taken.
        let taken = stage.stage == Stage::NextLayerCloses && planned.is_some();
        let wakes = !over && !taken && present.wakes(&batch.mix.material, id);
        Some(self.alarm(present, batch.answer(id), Found { id, reason: Reason::StageDue, due, urgency, wakes }))
    }

    /// The word that `alarm` comes soon, until it is there; none where that was answered, or passed without anybody.
    fn ahead(&self, present: &Present<'_>, batch: &Batch, alarm: &Alarm) -> Option<Alarm> {
        let lead = present.bearing.rules.lead(&batch.mix.material, alarm.id.stage()?);
        let waits = alarm.state == AlarmState::Pending && alarm.due > present.now;
        if lead.is_zero() || !waits {
            return None;
        }
        let id = alarm.id.at_phase(Phase::Ahead);
        // Mixed, or told, when it was nearer than that already: then the word comes at once.
        let due = later(alarm.due, -lead).max(batch.started);
        let found = Found { id, reason: Reason::StageDue, due, urgency: Urgency::Normal, wakes: false };
        Some(self.alarm(present, batch.answer(id), found))
    }

    /// That the window has passed unused, where somebody knew that it closes. Where nobody did, that alarm still rings, and
    /// says so itself.
    fn missed(&self, present: &Present<'_>, batch: &Batch, stage: &StageForecast, closing: &Alarm) -> Option<Alarm> {
        let answered = matches!(closing.state, AlarmState::Acknowledged { .. } | AlarmState::Snoozed { .. });
        let due = stage.band.likely?;
        // Whoever answered after that has been told so.
        let in_time = batch.answer(closing.id).is_some_and(|answer| answer.at < due);
        if stage.stage != Stage::NextLayerCloses || !answered || !in_time {
            return None;
        }
        let id = closing.id.at_phase(Phase::Missed);
        let found = Found { id, reason: Reason::StageDue, due, urgency: Urgency::Normal, wakes: false };
        Some(self.alarm(present, batch.answer(id), found))
    }

    /// One alarm for all stages of a batch that will not come: somebody counts on them. It matters as much as the one
    /// among them that matters most.
    fn clock_stands(
        &self,
        present: &Present<'_>,
        batch: &Batch,
        forecast: &BatchForecast,
        awaited: &[&StageForecast],
    ) -> Option<Alarm> {
        let since = forecast.stands_since?;
        let lost: Vec<Stage> = awaited.iter().filter(|s| due(s).is_none()).map(|s| s.stage).collect();
        let id = AlarmId::of(batch.id, *lost.first()?);
        let urgency = lost.iter().map(|stage| urgency(*stage)).max().unwrap_or(Urgency::Low);
        let wakes = lost.iter().any(|stage| present.wakes(&batch.mix.material, AlarmId::of(batch.id, *stage)));
        let found = Found { id, reason: Reason::ClockStands, due: since, urgency, wakes };
        Some(self.alarm(present, batch.answer(id), found))
    }

    /// Places that are read by themselves and are not any more, while a clock runs that counts on them.
    fn silences(&self, present: &Present<'_>, into: &mut Vec<Alarm>) {
        let Bearing { log, rules, .. } = present.bearing;
        let Some(running_since) = log.running().map(|batch| batch.started).min() else { return };
        for (&silent, &after) in &rules.silent_after {
            let last = log.readings().last_of(silent).map_or(running_since, |reading| reading.at);
            let due = later(last, after).max(running_since);
            let id = AlarmId::Silence { silent };
            let urgency = if silent == Place::Bench { Urgency::Normal } else { Urgency::Low };
            let found = Found { id, reason: Reason::Silent, due, urgency, wakes: silent == Place::Bench };
            let alarm = self.alarm(present, log.silence_answer(silent), found);
            // Opened, or woken, so short a while ago, nobody can tell whether it will be read; what rings rings on.
            let too_soon = present.now < later(self.awake_since, after) && !self.rung.contains_key(&id);
            // What is not due is no news: the next reading moves it.
            let told = alarm.state != AlarmState::Pending && !(alarm.is_sounding() && too_soon);
            into.extend(told.then_some(alarm));
        }
    }

    fn alarm(&self, present: &Present<'_>, answer: Option<AlarmAnswer>, found: Found) -> Alarm {
        let Found { id, reason, due, urgency, wakes } = found;
        let answer = self.unwritten.get(&id).copied().or(answer);
        let now = present.now;
        let answered_at = |a: &AlarmAnswer| match self.heard.get(&id) {
            Some((entry, known_due)) if *entry == a.entry => a.at.max(*known_due),
            _ => a.at,
        };
        let answer = answer.filter(|a| later(answered_at(a), GOOD_FOR) >= due);
        let state = match answer.map(|a| (a.answer, a.at)) {
            Some((Answer::Acknowledged, at)) => AlarmState::Acknowledged { at },
            Some((Answer::SnoozedUntil(until), _)) if until > now => AlarmState::Snoozed { until },
            Some((Answer::SnoozedUntil(until), _)) => self.ringing(id, due.max(until), now),
            None => self.ringing(id, due, now),
        };
        let state = match (state, present.quiet_until) {
            (AlarmState::Sounding { .. }, Some(until)) if !wakes => AlarmState::Resting { until },
            _ => state,
        };
        Alarm { id, reason, due, urgency, state, wakes }
    }

    /// The state of an unanswered alarm that was to ring at `due`.
    fn ringing(&self, id: AlarmId, due: Timestamp, now: Timestamp) -> AlarmState {
        match self.rung.get(&id) {
            Some(rung) if due <= later(now.max(rung.due_by), STUTTER) => AlarmState::Sounding { missed: rung.missed },
            _ if due <= now => AlarmState::Sounding { missed: later(due, MISSED_AFTER) <= self.awake_since },
            _ => AlarmState::Pending,
        }
    }

    fn sound(&mut self, newest: &BTreeMap<AlarmId, EntryId>, now: Timestamp) -> Vec<Sound> {
        let mut sounds = Vec::new();
        let sounding: BTreeMap<AlarmId, (&Alarm, bool)> = self
            .alarms
            .iter()
            .filter_map(|a| match a.state {
                AlarmState::Sounding { missed } => Some((a.id, (a, missed))),
                _ => None,
            })
            .collect();
        self.rung.retain(|id, _| {
            let goes_on = sounding.contains_key(id);
            if !goes_on {
                sounds.push(Sound::Hush(*id));
            }
            goes_on
        });
        for (&id, &(alarm, missed)) in &sounding {
            let rung = self.rung.get(&id);
            // A clock set back must not silence an alarm until it has caught up.
            let wait_over =
                |r: &Rung| repeat_every(alarm).is_some_and(|every| now >= later(r.last, every) || now < r.last);
            if rung.is_none_or(wait_over) {
                let count = rung.map_or(1, |r| r.count.saturating_add(1));
                let due_by = rung.map_or(now, |r| r.due_by.max(now));
                let stale = rung.map_or(newest.get(&id).copied(), |r| r.stale);
                self.rung.insert(id, Rung { last: now, due_by, count, missed, stale });
                sounds.push(Sound::Ring { alarm: id, count });
            }
        }
        sounds
    }

    /// Has everything that sounds ring again at once: another process has sounded it until now.
    pub fn ring_anew(&mut self) {
        self.rung.clear();
    }

    /// The next moment at which something has to sound, if nothing changes before.
    pub fn next_sound(&self) -> Option<Timestamp> {
        self.alarms
            .iter()
            .filter_map(|a| match a.state {
                AlarmState::Pending => Some(a.due),
                AlarmState::Snoozed { .. } | AlarmState::Resting { .. } => Some(a.target()),
                AlarmState::Sounding { .. } => self.rung.get(&a.id).and_then(|r| Some(later(r.last, repeat_every(a)?))),
                AlarmState::Acknowledged { .. } => None,
            })
            .min()
    }
}

impl Present<'_> {
    fn wakes(&self, material: &MaterialId, alarm: AlarmId) -> bool {
        self.bearing.rules.at_night(material, alarm) == AtNight::Wake
    }
}

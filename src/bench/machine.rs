//! The bench itself: `handle(event, now)` returns effects. It knows no clock, file, terminal or thread.

use super::alarm_id::{AlarmId, Phase};
use super::alarms::{Alarm, AlarmBook, AlarmState, Bearing, Sound};
use super::batch::{Answer, Batch};
use super::bedtime::promises;
use super::command::{Command, Decision, NewMix, Refusal, decide};
use super::entry::{BatchId, Entry, EntryId, NewEntry, Part, PieceId, Stored};
use super::entry_words::entry_words;
use super::forecast::{BatchForecast, forecast};
use super::log::Log;
use super::night::PlannedPour;
use super::notice::{Notice, Urgency};
use super::own_heat::HeatBook;
use super::piece::{BenchPiece, Standing, pour_words};
use super::rules::AlarmRules;
use super::words;
use crate::material::Catalogue;
use crate::pour::LayerPlan;
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use std::collections::{BTreeMap, BTreeSet};

/// Forecasts with a silent source widen with its age; this is how often that is worth recomputing.
const FORECAST_LIFE: SignedDuration = SignedDuration::from_mins(1);
/// An entry that was written so long ago is no news.
const FRESH: SignedDuration = SignedDuration::from_mins(2);
/// A shorter sleep of the machine is not worth a word.
const WORTH_TELLING: SignedDuration = SignedDuration::from_mins(1);

/// What reaches the bench from outside.
#[derive(Debug, Clone)]
pub enum Event {
    /// Entries new in the notebook, whoever wrote them.
    Entries(Vec<Stored>),
    /// Something the user asks for.
    Command(Command),
    /// Time has passed.
    Tick,
    /// What could not be written yet, and counts all the same: answers to alarms.
    Unwritten(Vec<NewEntry>),
    /// All of that stands in the notebook now.
    AllWritten,
    /// The machine slept for so long until now, and nothing could be heard.
    Woke(SignedDuration),
    /// From here on the alarms sound here; until now another process has sounded them.
    TakenOver,
}

/// What the shell has to do.
#[derive(Debug, Clone, PartialEq)]
pub enum Effect {
    /// Write to the notebook; the entries come back as [`Event::Entries`].
    Write(Vec<NewEntry>),
    /// Sound an alarm on every channel.
    Ring(Notice),
    /// Take an alarm's notification away.
    Hush(AlarmId),
    /// Tell the user one line.
    Say { line: PlainText, refused: bool },
}

/// The live bench.
#[derive(Debug, Clone)]
pub struct Bench {
    catalogue: Catalogue,
    zone: TimeZone,
    log: Log,
    heat: HeatBook,
    forecasts: BTreeMap<BatchId, BatchForecast>,
    standings: BTreeMap<PieceId, Standing>,
    computed_at: Timestamp,
    rules: AlarmRules,
    alarms: AlarmBook,
}

impl Bench {
    /// An empty bench, opened at `now`.
    pub fn new(catalogue: Catalogue, zone: TimeZone, now: Timestamp) -> Self {
        Self {
            catalogue,
            zone,
            log: Log::default(),
            heat: HeatBook::default(),
            forecasts: BTreeMap::new(),
            standings: BTreeMap::new(),
            computed_at: now,
            rules: AlarmRules::default(),
            alarms: AlarmBook::new(now),
        }
    }

    /// The same, with alarms as the user wants them.
    #[must_use]
    pub fn with_rules(self, rules: AlarmRules) -> Self {
        Self { rules, ..self }
    }

    /// Takes in one event at `now` and says what has to be done.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Effect> {
        let clock_was_set =
            matches!(&event, Event::Entries(news) if news.iter().any(|s| matches!(s.entry, Entry::ClockSet { .. })));
        if let Some(expected) = self.next_tick().filter(|_| !clock_was_set) {
            self.alarms.woken(expected, now);
        }
        // What is remembered of the ringing is by the clock of now when the bench is opened.
        let opening = self.log.last() == EntryId(0);
        let mut told = Vec::new();
        match event {
            // What it writes comes back as news, and that is when alarms are looked at again.
            Event::Command(command) => return self.obey(command, now),
            Event::Entries(news) => {
                for stored in news {
                    told.extend(self.news_of_the_clock(&stored, now));
                    let stepped = match &stored.entry {
                        Entry::ClockSet { by_us, .. } if stored.id > self.log.last() => {
                            SignedDuration::from_micros(*by_us)
                        }
                        _ => SignedDuration::ZERO,
                    };
                    self.log.apply(stored);
                    if !stepped.is_zero() {
                        self.heat = HeatBook::default();
                        if !opening {
                            self.alarms.shift(stepped);
                        }
                    }
                }
                self.heat.follow(&self.log);
                self.recompute(now);
            }
            Event::Woke(slept) => {
                self.alarms.awake_from(now);
                self.recompute(now);
                if slept >= WORTH_TELLING {
                    let line = format!("the machine slept for {}: nothing could ring", words::span_words(slept));
                    let told = Effect::Say { line: PlainText::new(&line), refused: false };
                    return self.sound(now).into_iter().chain([told]).collect();
                }
            }
            Event::Unwritten(entries) => {
                for NewEntry { happened, entry } in entries {
                    match entry {
                        Entry::Acknowledged { alarm } => {
                            self.alarms.answer_unwritten(alarm, happened, Answer::Acknowledged);
                        }
                        Entry::Snoozed { alarm, until } => {
                            self.alarms.answer_unwritten(alarm, happened, Answer::SnoozedUntil(until));
                        }
                        _ => {}
                    }
                }
            }
            Event::AllWritten => self.alarms.all_written(),
            Event::TakenOver => {
                self.alarms.ring_anew();
            }
            // A clock set back makes the difference negative: then the forecasts are stale as well.
            Event::Tick if (now.duration_since(self.computed_at)).abs() >= FORECAST_LIFE => self.recompute(now),
            Event::Tick => {}
        }
        self.sound(now).into_iter().chain(told).collect()
    }

    /// What is to be said of a clock that was set just now, and not of one that was set nights ago.
    fn news_of_the_clock(&self, stored: &Stored, now: Timestamp) -> Option<Effect> {
        let fresh = stored.id > self.log.last() && now.duration_since(stored.written).abs() < FRESH;
        let line = || PlainText::new(&entry_words(&stored.entry, &self.log, &self.zone));
        let is_set = matches!(stored.entry, Entry::ClockSet { .. });
        (fresh && is_set).then(|| Effect::Say { line: line(), refused: false })
    }

    fn obey(&self, command: Command, now: Timestamp) -> Vec<Effect> {
        match self.decide(command, now) {
            Ok(decision) => {
                let remarks = decision.remarks.into_iter().map(|line| Effect::Say { line, refused: false });
                remarks.chain([Effect::Write(decision.entries)]).collect()
            }
            Err(refusal) => vec![Effect::Say { line: PlainText::new(&refusal.to_string()), refused: true }],
        }
    }

    /// What would be written for `command`, or why it is refused.
    pub fn decide(&self, command: Command, now: Timestamp) -> Result<Decision, Refusal> {
        decide(&self.log, &self.catalogue, &self.heat, command, now)
    }

    /// The clock that `mix` would have; `None` where it would have none.
    pub fn planned(&self, mix: &NewMix, now: Timestamp) -> Option<BatchForecast> {
        let item = self.catalogue.get(&mix.material)?;
        let mut batch = Batch::planned(mix, &item.profile);
        batch.mix.profile.clone_from(&item.fingerprint);
        forecast(&batch, self.log.readings(), self.heat.own(&batch, &self.log).as_ref(), now)
    }

    fn recompute(&mut self, now: Timestamp) {
        self.computed_at = now;
        self.forecasts = self
            .log
            .running()
            .filter_map(|batch| Some((batch.id, forecast(batch, self.log.readings(), self.heat.get(batch.id), now)?)))
            .collect();
        self.standings = self
            .log
            .pieces()
            .filter_map(|piece| Some((piece.id, Standing::of(piece, &self.log, &self.catalogue, now)?)))
            .collect();
    }

    fn sound(&mut self, now: Timestamp) -> Vec<Effect> {
        let unawaited = self.unawaited();
        let planned = self.planned_pours();
        let bearing = Bearing {
            log: &self.log,
            forecasts: &self.forecasts,
            unawaited: &unawaited,
            planned: &planned,
            rules: &self.rules,
            zone: &self.zone,
        };
        let sounds = self.alarms.refresh(&bearing, now);
        sounds
            .into_iter()
            .filter_map(|sound| match sound {
                Sound::Hush(alarm) => Some(Effect::Hush(alarm)),
                Sound::Ring { alarm, count } => self.notice(alarm, count, now).map(Effect::Ring),
            })
            .collect()
    }

    /// The batches whose window nobody waits for: the top of a full piece, or of one that sets cold before the next layer,
    /// what is left of one that is done, and trial cups.
    fn unawaited(&self) -> BTreeSet<BatchId> {
        let waits = |standing: &&Standing| standing.next_layer().is_some_and(|next| !next.cold);
        let tops = self.standings.values().filter(|standing| !waits(standing));
        let tops = tops.filter_map(|standing| standing.laid.last()).map(|top| top.batch);
        let over = |part: Part| {
            let done = |id| self.log.piece(id).is_some_and(|piece| !piece.is_running());
            part.is_trial() || part.piece().is_some_and(done)
        };
        let others = self.log.running().filter(|batch| batch.mix.part.is_some_and(over)).map(|batch| batch.id);
        tops.chain(others).collect()
    }

    /// By the uppermost layer of each piece: when the next one is to be poured onto it, as was accepted.
    fn planned_pours(&self) -> BTreeMap<BatchId, PlannedPour> {
        let planned = self.pieces().filter_map(|(piece, standing)| {
            let standing = standing?;
            let pour = piece.planned_for(standing.next_layer()?.number)?;
            Some((standing.laid.last()?.batch, *pour))
        });
        planned.collect()
    }

    fn notice(&self, id: AlarmId, count: u32, now: Timestamp) -> Option<Notice> {
        let alarm = self.alarms().iter().find(|a| a.id == id)?;
        let Some(batch) = id.batch() else {
            let AlarmId::Silence { silent } = id else { return None };
            return Some(words::silence_notice(alarm, silent, self.log.readings().last_of(silent), count, now));
        };
        let batch = self.log.batch(batch)?;
        let forecast = self.forecasts.get(&batch.id)?;
        let lay_in = self.lay_in_before(batch.id).map(|items| format!("lay in {items}, then ")).unwrap_or_default();
        let pour = self.layer_onto(batch.id).map(|layer| format!("{lay_in}{}", pour_words(layer)));
        let of = self.alarms().iter().find(|a| a.id == id.at_phase(Phase::Due)).map(|due| due.due);
        Some(words::notice(alarm, batch, forecast, &words::Ringing { count, now, zone: &self.zone, of, pour }))
    }

    /// The piece whose uppermost layer this batch is.
    fn topped_by(&self, batch: BatchId) -> Option<&Standing> {
        self.standings.values().find(|standing| standing.laid.last().is_some_and(|top| top.batch == batch))
    }

    /// What is to be poured onto this batch, where it is the uppermost layer of a piece.
    pub fn layer_onto(&self, batch: BatchId) -> Option<&LayerPlan> {
        self.topped_by(batch)?.next_layer()
    }

    /// What has to be laid onto this batch before the next layer goes on.
    pub fn lay_in_before(&self, batch: BatchId) -> Option<String> {
        let standing = self.topped_by(batch)?;
        standing.to_lay_in(self.log.piece(standing.id)?.piece.as_ref()?)
    }

    /// Has new batches use the figures of `catalogue`, from the next event on; running ones keep theirs.
    pub fn use_materials(&mut self, catalogue: Catalogue) {
        self.catalogue = catalogue;
    }

    pub(super) fn heat(&self) -> &HeatBook {
        &self.heat
    }

    /// The clock of one running batch.
    pub(super) fn forecast_of(&self, batch: BatchId) -> Option<&BatchForecast> {
        self.forecasts.get(&batch)
    }

    /// Everything the notebook says.
    pub fn log(&self) -> &Log {
        &self.log
    }

    pub fn catalogue(&self) -> &Catalogue {
        &self.catalogue
    }

    pub fn zone(&self) -> &TimeZone {
        &self.zone
    }

    /// From here on times are shown as the clocks of `zone` show them.
    pub fn use_zone(&mut self, zone: TimeZone) {
        self.zone = zone;
    }

    /// From here on alarms are as these rules have them.
    pub fn use_rules(&mut self, rules: AlarmRules) {
        self.rules = rules;
    }

    /// The running batches with their clocks, oldest first.
    pub fn running(&self) -> impl DoubleEndedIterator<Item = (&Batch, Option<&BatchForecast>)> {
        self.log.running().map(|batch| (batch, self.forecasts.get(&batch.id)))
    }

    /// The pieces on the bench, oldest first, each with where it stands; `None` where it cannot be planned.
    pub fn pieces(&self) -> impl DoubleEndedIterator<Item = (&BenchPiece, Option<&Standing>)> {
        self.log.pieces().map(|piece| (piece, self.standings.get(&piece.id)))
    }

    /// All alarms, the one to see to first at the front.
    pub fn alarms(&self) -> &[Alarm] {
        self.alarms.alarms()
    }

    /// The alarm to show in big digits: the most urgent one sounding, else the next one due.
    pub fn next_alarm(&self) -> Option<&Alarm> {
        let open = || self.alarms().iter().filter(|a| a.is_open());
        // What rests, and is only worth knowing, lets the others go first.
        let rests = |a: &Alarm| matches!(a.state, AlarmState::Snoozed { .. } | AlarmState::Resting { .. });
        open().find(|a| a.urgency > Urgency::Low || !rests(a)).or_else(|| open().next())
    }

    /// Going to bed now: what is counted on.
    pub fn bedtime(&self) -> Command {
        Command::Bedtime { promised: promises(self.alarms()) }
    }

    /// Whether the quiet hours have begun and nobody has said what is counted on in them.
    pub fn bedtime_has_come(&self, now: Timestamp) -> bool {
        let Some(until) = self.rules.quiet.and_then(|quiet| quiet.end(now, &self.zone)) else { return false };
        // The hours that end then are less than a day long.
        let since = until - SignedDuration::from_hours(24);
        self.log.bedtime.at.is_none_or(|at| at < since) && !promises(self.alarms()).is_empty()
    }

    /// What the forecast has moved away from when it was promised at bedtime, to be written down.
    pub fn moves(&self, now: Timestamp) -> Vec<NewEntry> {
        self.log.bedtime.moves(self.alarms(), now)
    }

    /// What rings most, a word ahead after all that is due.
    pub fn sounding(&self) -> Option<&Alarm> {
        self.next_alarm().filter(|alarm| alarm.is_sounding()).or_else(|| self.alarms().iter().find(|a| a.is_sounding()))
    }

    /// Whether a word ahead of this alarm rings.
    pub fn is_announced(&self, alarm: AlarmId) -> bool {
        let ahead = alarm.at_phase(Phase::Ahead);
        alarm.phase() == Phase::Due && self.alarms().iter().any(|a| a.id == ahead && a.is_sounding())
    }

    /// Whose alarm it is: a batch's title, or the place that is silent.
    pub fn title_of(&self, alarm: AlarmId) -> &str {
        match alarm {
            AlarmId::Stage { batch, .. } => self.log.batch(batch).map_or("", Batch::title),
            AlarmId::Silence { silent } => silent.name(),
        }
    }

    /// When the bench has to be given a [`Event::Tick`] at the latest, if nothing else happens before.
    pub fn next_tick(&self) -> Option<Timestamp> {
        let ages = !self.forecasts.is_empty() || !self.standings.is_empty();
        let stale = ages.then(|| self.computed_at + FORECAST_LIFE);
        [self.alarms.next_sound(), stale].into_iter().flatten().min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::testing::{Story, at};
    use crate::bench::{Seen, Trust};
    use crate::material::Stage;

    fn opened(story: &Story, minute: i64) -> (Bench, Vec<Effect>) {
        let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, at(minute));
        let effects = bench.handle(Event::Entries(story.entries().to_vec()), at(minute));
        (bench, effects)
    }

    fn layer() -> Story {
        let mut story = Story::at_20_c();
        story.mix(0, "clear-polyester");
        story
    }

    #[test]
    fn a_command_only_asks_to_be_written() {
        let (mut bench, _) = opened(&layer(), 1);
        let seen = Seen::NotYet { at: at(1) };
        let see = |stage| {
            Event::Command(Command::Observe { batch: None, stage, seen, test: None, trust: Trust::Sure, within: None })
        };
        let effects = bench.handle(see(Stage::Gel), at(1));
        assert!(matches!(effects.as_slice(), [Effect::Write(entries)] if entries.len() == 1), "{effects:?}");
        assert!(bench.log().batches().all(|b| b.observations.is_empty()));
        let refused = bench.handle(see(Stage::TackFree), at(1));
        assert!(matches!(refused.as_slice(), [Effect::Say { refused: true, .. }]), "{refused:?}");
    }

    #[test]
    fn a_notice_says_what_when_and_how_often() {
        let (mut bench, _) = opened(&layer(), 28);
        let mut told = |minute| {
            let effects = bench.handle(Event::Tick, at(minute));
            let gel = |e: Effect| match e {
                Effect::Ring(notice) if notice.alarm.stage() == Some(Stage::Gel) => {
                    Some(format!("{}|{}", notice.headline, notice.detail))
                }
                _ => None,
            };
            effects.into_iter().find_map(gel)
        };
        assert_eq!(told(29), None);
        let first = told(30).unwrap();
        assert!(
            first.starts_with("clear-polyester · gel|look for gel; test: a skewer trails no string. 20:30 (20:2"),
            "{first}"
        );
        assert_eq!(told(31), None);
        assert!(told(32).unwrap().contains("|ring 2; look for gel"));
    }

    #[test]
    fn what_was_missed_rings_with_its_age() {
        let (_, effects) = opened(&layer(), 50);
        let gel = effects.iter().find_map(|e| match e {
            Effect::Ring(notice) if notice.alarm.stage() == Some(Stage::Gel) => Some(notice.detail.as_str()),
            _ => None,
        });
        assert!(gel.unwrap().starts_with("missed, due 20 min ago; look for gel"), "{gel:?}");
    }

    #[test]
    fn an_idle_bench_asks_for_nothing() {
        let (bench, effects) = opened(&Story::at_20_c(), 0);
        assert_eq!((bench.next_tick(), effects), (None, Vec::new()));
    }

    #[test]
    fn a_running_batch_is_looked_at_again_within_a_minute_and_at_its_alarms() {
        let (mut bench, _) = opened(&layer(), 28);
        assert_eq!(bench.next_tick(), Some(at(29)));
        bench.handle(Event::Tick, at(29));
        // The forecast is renewed at 30 min, when gel is due as well.
        assert_eq!(bench.next_tick(), Some(at(30)));
        assert!(bench.alarms().iter().any(|a| a.due == at(30) && a.state == AlarmState::Pending));
    }

    #[test]
    fn the_next_alarm_is_one_nobody_has_answered() {
        let mut story = layer();
        let alarm = |stage| AlarmId::of(BatchId(1), stage);
        story.write(20, crate::bench::Entry::Acknowledged { alarm: alarm(Stage::PotLife) });
        let (bench, _) = opened(&story, 25);
        assert_eq!(bench.next_alarm().map(|a| a.id), Some(alarm(Stage::Gel)));
    }

    #[test]
    fn finishing_hushes_what_rings() {
        let mut story = layer();
        let (mut bench, _) = opened(&story, 56);
        let done = story.write(57, crate::bench::Entry::Done { batch: BatchId(1) });
        let news = story.entries().iter().filter(|s| s.id == done).cloned().collect();
        let effects = bench.handle(Event::Entries(news), at(57));
        let hushed = |stage| effects.contains(&Effect::Hush(AlarmId::of(BatchId(1), stage)));
        assert!(hushed(Stage::PotLife) && hushed(Stage::Gel) && hushed(Stage::NextLayerOpens), "{effects:?}");
        assert_eq!((effects.len(), bench.next_tick()), (3, None));
    }
}

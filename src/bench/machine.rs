//! The bench itself: `handle(event, now)` returns effects. It knows no clock, file, terminal or thread.

use super::alarms::{Alarm, AlarmBook, AlarmState, Sound};
use super::batch::Batch;
use super::command::{Command, decide};
use super::entry::{AlarmId, BatchId, NewEntry, Stored};
use super::forecast::{BatchForecast, forecast};
use super::log::Log;
use super::notice::Notice;
use super::words;
use crate::material::Catalogue;
use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use std::collections::BTreeMap;

/// Forecasts with a silent source widen with its age; this is how often that is worth recomputing.
const FORECAST_LIFE: SignedDuration = SignedDuration::from_mins(1);

/// What reaches the bench from outside.
#[derive(Debug, Clone)]
pub enum Event {
    /// Entries new in the notebook, whoever wrote them.
    Entries(Vec<Stored>),
    /// Something the user asks for.
    Command(Command),
    /// Time has passed.
    Tick,
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
    forecasts: BTreeMap<BatchId, BatchForecast>,
    computed_at: Timestamp,
    alarms: AlarmBook,
}

impl Bench {
    /// An empty bench, opened at `now`.
    pub fn new(catalogue: Catalogue, zone: TimeZone, now: Timestamp) -> Self {
        Self {
            catalogue,
            zone,
            log: Log::default(),
            forecasts: BTreeMap::new(),
            computed_at: now,
            alarms: AlarmBook::new(now),
        }
    }

    /// Takes in one event at `now` and says what has to be done.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Effect> {
        match event {
            // What it writes comes back as news, and that is when alarms are looked at again.
            Event::Command(command) => return self.obey(command, now),
            Event::Entries(news) => {
                for stored in news {
                    self.log.apply(stored);
                }
                self.recompute(now);
            }
            // A clock set back makes the difference negative: then the forecasts are stale as well.
            Event::Tick if (now.duration_since(self.computed_at)).abs() >= FORECAST_LIFE => self.recompute(now),
            Event::Tick => {}
        }
        self.sound(now)
    }

    fn obey(&self, command: Command, now: Timestamp) -> Vec<Effect> {
        match decide(&self.log, &self.catalogue, command, now) {
            Ok(decision) => {
                let remarks = decision.remarks.into_iter().map(|line| Effect::Say { line, refused: false });
                remarks.chain([Effect::Write(decision.entries)]).collect()
            }
            Err(refusal) => vec![Effect::Say { line: PlainText::new(&refusal.to_string()), refused: true }],
        }
    }

    fn recompute(&mut self, now: Timestamp) {
        self.computed_at = now;
        self.forecasts = self
            .log
            .running()
            .filter_map(|batch| Some((batch.id, forecast(batch, self.log.readings(), now)?)))
            .collect();
    }

    fn sound(&mut self, now: Timestamp) -> Vec<Effect> {
        let batches = self.log.running().map(|batch| (batch, self.forecasts.get(&batch.id)));
        let sounds = self.alarms.refresh(batches, now);
        sounds
            .into_iter()
            .filter_map(|sound| match sound {
                Sound::Hush(alarm) => Some(Effect::Hush(alarm)),
                Sound::Ring { alarm, count } => self.notice(alarm, count, now).map(Effect::Ring),
            })
            .collect()
    }

    fn notice(&self, id: AlarmId, count: u32, now: Timestamp) -> Option<Notice> {
        let alarm = self.alarms().iter().find(|a| a.id == id)?;
        let batch = self.log.batch(id.batch)?;
        let stage = self.forecasts.get(&id.batch)?.stage(id.stage)?;
        Some(words::notice(alarm, batch, stage, words::Ringing { count, now, zone: &self.zone }))
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

    /// The running batches with their clocks, oldest first.
    pub fn running(&self) -> impl DoubleEndedIterator<Item = (&Batch, Option<&BatchForecast>)> {
        self.log.running().map(|batch| (batch, self.forecasts.get(&batch.id)))
    }

    /// All alarms, the one to see to first at the front.
    pub fn alarms(&self) -> &[Alarm] {
        self.alarms.alarms()
    }

    /// The alarm to show in big digits: the most urgent one sounding, else the next one due.
    pub fn next_alarm(&self) -> Option<&Alarm> {
        self.alarms().iter().find(|a| !matches!(a.state, AlarmState::Acknowledged { .. }))
    }

    /// When the bench has to be given a [`Event::Tick`] at the latest, if nothing else happens before.
    pub fn next_tick(&self) -> Option<Timestamp> {
        let stale = (!self.forecasts.is_empty()).then(|| self.computed_at + FORECAST_LIFE);
        [self.alarms.next_sound(), stale].into_iter().flatten().min()
    }
}

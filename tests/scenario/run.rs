//! Plays a scenario on the pure bench, in virtual time that jumps from one event to the next.

use super::check;
use super::read::{Away, Check, Scenario};
use crate::desk::Desk;
use jiff::{SignedDuration, Timestamp};
use nightpour::bench::{AlarmId, Effect, Event, Stored};
use nightpour::material::Catalogue;
use std::collections::BTreeMap;

/// How often an alarm rang, and its last words.
#[derive(Debug, Clone, Default)]
pub struct Rung {
    pub times: u32,
    pub words: String,
}

/// A line the bench said about a step.
#[derive(Debug, Clone)]
pub struct Said {
    pub at: Timestamp,
    pub words: String,
    pub refused: bool,
}

/// What happened so far. Moments are the script's; the machine's clock may have been set back against them.
pub struct Stage {
    pub desk: Option<Desk>,
    pub rung: BTreeMap<AlarmId, Rung>,
    pub said: Vec<Said>,
    catalogue: Catalogue,
    zone: jiff::tz::TimeZone,
    back: SignedDuration,
    /// The notebook while no bench is open.
    kept: Vec<Stored>,
    asleep: bool,
    failures: Vec<String>,
}

/// Plays `scenario`; what did not hold, each with its line.
pub fn failures(mut scenario: Scenario) -> Vec<String> {
    let mut stage = Stage::new(&scenario);
    stage.open(scenario.script.starts);
    let mut now = scenario.script.starts;
    let mut expects = std::mem::take(&mut scenario.expects).into_iter().peekable();
    let mut clock = scenario.clock.clone().into_iter().peekable();
    let mut expected_refusals = Vec::new();
    loop {
        let absences = scenario.away.iter().flat_map(|a| [a.from, a.to]).filter(|at| *at > now).min();
        let next = [
            stage.next_tick(),
            scenario.script.next(),
            absences,
            clock.peek().map(|c| c.at),
            expects.peek().map(|e| e.at),
        ];
        let Some(next) = next.into_iter().flatten().min().map(|at| at.max(now)) else { break };
        if next > scenario.script.ends {
            break;
        }
        now = next;
        while let Some(change) = clock.next_if(|c| c.at <= now) {
            stage.back = change.back;
            stage.tick(now);
        }
        stage.come_and_go(&scenario.away, now);
        while let Some((_, command)) = scenario.script.take_due(now) {
            stage.handle(Event::Command(command), now);
        }
        if stage.next_tick().is_some_and(|at| at <= now) {
            stage.tick(now);
        }
        while let Some(expect) = expects.next_if(|e| e.at <= now) {
            if expect.checks.iter().any(|c| matches!(c, Check::Refused(_))) {
                expected_refusals.push(expect.at);
            }
            stage.failures.extend(check::failures(&expect, &stage, &scenario.script.zone));
        }
    }
    let surprises = stage.said.iter().filter(|s| s.refused && !expected_refusals.contains(&s.at));
    stage
        .failures
        .extend(surprises.map(|s| format!("the step at {} was refused: {}", s.at, s.words)).collect::<Vec<_>>());
    stage.failures
}

impl Stage {
    fn new(scenario: &Scenario) -> Self {
        Self {
            desk: None,
            rung: BTreeMap::new(),
            said: Vec::new(),
            catalogue: Catalogue::embedded(),
            zone: scenario.zone.clone(),
            back: SignedDuration::ZERO,
            kept: Vec::new(),
            asleep: false,
            failures: Vec::new(),
        }
    }

    /// What the machine's clock shows.
    fn shown(&self, now: Timestamp) -> Timestamp {
        now - self.back
    }

    fn next_tick(&self) -> Option<Timestamp> {
        let desk = self.desk.as_ref().filter(|_| !self.asleep)?;
        Some(desk.bench().next_tick()? + self.back)
    }

    fn tick(&mut self, now: Timestamp) {
        self.handle(Event::Tick, now);
        if self.next_tick().is_some_and(|at| at <= now) {
            self.failures.push(format!("after its tick at {now} the bench asks for another one at once"));
            self.asleep = true;
        }
    }

    fn open(&mut self, now: Timestamp) {
        let entries = std::mem::take(&mut self.kept);
        let (desk, effects) = Desk::open(self.catalogue.clone(), entries, self.zone.clone(), self.shown(now));
        self.desk = Some(desk);
        self.take_note(effects, now);
    }

    fn come_and_go(&mut self, away: &[Away], now: Timestamp) {
        for absence in away {
            if absence.to == now {
                if absence.closed {
                    self.open(now);
                } else {
                    self.asleep = false;
                }
            }
            if absence.from == now {
                if absence.closed {
                    self.kept = self.desk.take().map(|desk| desk.entries().to_vec()).unwrap_or_default();
                } else {
                    self.asleep = true;
                }
            }
        }
    }

    fn handle(&mut self, event: Event, now: Timestamp) {
        let shown = self.shown(now);
        let Some(desk) = self.desk.as_mut().filter(|_| !self.asleep || matches!(event, Event::Tick)) else {
            self.failures.push(format!("a step at {now}, while nobody is there"));
            return;
        };
        let effects = desk.handle(event, shown);
        self.take_note(effects, now);
    }

    fn take_note(&mut self, effects: Vec<Effect>, now: Timestamp) {
        for effect in effects {
            match effect {
                Effect::Ring(notice) => {
                    let rung = self.rung.entry(notice.alarm).or_default();
                    rung.times += 1;
                    rung.words = format!("{}: {}", notice.headline, notice.detail);
                }
                Effect::Say { line, refused } => self.said.push(Said { at: now, words: line.to_string(), refused }),
                Effect::Hush(_) | Effect::Write(_) => {}
            }
        }
    }
}

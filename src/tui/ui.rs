//! What the screen itself remembers: the chosen batch and piece, an open form, the last message. Everything else is the
//! bench's.

mod night;
mod piece;

use super::forms::{Form, MixForm, ObserveForm, Outcome, ReadingForm, SnoozeForm};
use super::keys::{Action, action_for};
use super::theme::Role;
use crate::alarm::{Channel, ChannelHealth};
use crate::bench::{AlarmId, Batch, BatchId, Bench, Command, EntryId, PieceId};
use crossterm::event::{KeyCode, KeyEvent};
use jiff::{SignedDuration, Timestamp};
pub(super) use night::Change;
use night::NightView;
use piece::Page;
use std::collections::BTreeMap;

/// Lines a page key moves.
const SCROLL: usize = 5;
/// No overlay has more lines than this.
const MAX_SCROLL: usize = 60;

/// An alarm that came up in another's place is not acknowledged by a key pressed this soon after.
const TIME_TO_READ: SignedDuration = SignedDuration::from_secs(1);
/// At the bedside nobody types a number.
const BEDSIDE_SNOOZE: SignedDuration = SignedDuration::from_mins(10);

/// What lies over the panes.
#[derive(Debug, Clone)]
pub(super) enum Overlay {
    Help,
    /// Asked whether to quit while clocks run.
    Quit,
    /// Asked whether to take this entry back.
    Undo(EntryId),
    /// Asked whether this batch needs no more watching.
    Finish(BatchId),
    /// Asked whether this piece is off the bench.
    FinishPiece(PieceId),
    Form(Box<Form>),
}

/// What a key asks of the loop.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Reaction {
    /// At most the picture changed.
    Stay,
    Do(Command),
    Suspend,
    Quit,
}

/// The screen's own state.
#[derive(Debug, Clone)]
pub(super) struct Ui {
    selected: Option<BatchId>,
    piece: Option<PieceId>,
    /// The piece's page, where it is open. Questions and forms lie over it.
    page: Option<Page>,
    night: NightView,
    /// The alarm in big digits, and since when it has been there.
    shown: Option<AlarmId>,
    shown_since: Timestamp,
    scroll: usize,
    overlay: Option<Overlay>,
    /// Lines of the overlay's text scrolled out at the top.
    overlay_scroll: usize,
    message: Option<(String, Role)>,
    /// How each channel is doing.
    channels: BTreeMap<Channel, ChannelHealth>,
    /// What stands beside them: who else sounds, whether the machine stays awake.
    standing: Option<(String, Role)>,
    standby: bool,
    /// Why a thermometer's last word was not taken.
    trouble: Option<String>,
    bedside: bool,
}

impl Default for Ui {
    fn default() -> Self {
        Self {
            selected: None,
            piece: None,
            page: None,
            night: NightView::default(),
            shown: None,
            shown_since: Timestamp::MIN,
            scroll: 0,
            overlay: None,
            overlay_scroll: 0,
            message: None,
            channels: BTreeMap::new(),
            standing: None,
            standby: false,
            trouble: None,
            bedside: false,
        }
    }
}

impl Ui {
    /// The batch the keys act on: the chosen one, or the newest when that has gone.
    pub fn selected(&self, bench: &Bench) -> Option<BatchId> {
        let running = || bench.log().running().map(|b| b.id);
        self.selected.filter(|id| running().any(|r| r == *id)).or_else(|| running().next_back())
    }

    pub fn overlay(&self) -> Option<&Overlay> {
        self.overlay.as_ref()
    }

    pub fn overlay_scroll(&self) -> usize {
        self.overlay_scroll
    }

    pub fn notebook_scroll(&self) -> usize {
        self.scroll
    }

    pub fn message(&self) -> Option<(&str, Role)> {
        self.message.as_ref().map(|(line, role)| (line.as_str(), *role))
    }

    /// How the alarm channels are.
    pub fn channels(&self) -> &BTreeMap<Channel, ChannelHealth> {
        &self.channels
    }

    pub fn standing(&self) -> Option<(&str, Role)> {
        self.standing.as_ref().map(|(line, role)| (line.as_str(), *role))
    }

    /// Whether the bedside view is open.
    pub fn is_bedside(&self) -> bool {
        self.bedside
    }

    pub fn say(&mut self, line: impl Into<String>, role: Role) {
        self.message = Some((line.into(), role));
    }

    /// Notes how a channel is doing; says whether that is another thing than before.
    pub fn set_health(&mut self, channel: Channel, health: ChannelHealth) -> bool {
        let before = self.channels.get(&channel).map(|health| health.doing);
        let news = before != Some(health.doing);
        self.channels.insert(channel, health);
        news
    }

    /// Notes what stands beside the channels; `standby`: another process sounds the alarms.
    pub fn set_standing(&mut self, standing: Option<(String, Role)>, standby: bool) {
        (self.standing, self.standby) = (standing, standby);
    }

    /// Notes why a thermometer's last word was not taken; `None` where all are fine.
    pub fn set_trouble(&mut self, trouble: Option<String>) {
        self.trouble = trouble;
    }

    pub fn trouble(&self) -> Option<&str> {
        self.trouble.as_deref()
    }

    /// Whether another process sounds the alarms.
    pub fn is_standby(&self) -> bool {
        self.standby
    }

    /// Notes which alarm is about to be drawn in big digits.
    pub fn show(&mut self, alarm: Option<AlarmId>, now: Timestamp) {
        if self.shown != alarm {
            // The first one of all has taken nobody's place.
            self.shown_since = if self.shown.is_some() { now } else { Timestamp::MIN };
            self.shown = alarm;
        }
    }

    /// Brings what an open form proposes up to what the bench knows, before it is drawn.
    pub fn refresh(&mut self, bench: &Bench, now: Timestamp) {
        if let Some(Overlay::Form(form)) = self.overlay.as_mut() {
            form.refresh(bench, now);
        }
    }

    /// Whether the key asks to quit, with nothing lying over the panes.
    pub fn wants_to_quit(&self, key: KeyEvent) -> bool {
        let bench_in_sight = self.overlay.is_none() && self.page.is_none() && !self.night.is_open() && !self.bedside;
        bench_in_sight && action_for(key) == Some(Action::Quit)
    }

    /// Whether the key may open a form that mixes something.
    pub fn may_mix(&self, key: KeyEvent) -> bool {
        let mixes = match action_for(key) {
            Some(Action::Mix | Action::Pour) => true,
            Some(Action::Tick) => self.page.is_some(),
            _ => false,
        };
        mixes && self.overlay.is_none() && !self.bedside
    }

    /// Takes a key.
    pub fn key(&mut self, key: KeyEvent, bench: &Bench, now: Timestamp) -> Reaction {
        if self.overlay.is_some() && self.scrolled(key) {
            return Reaction::Stay;
        }
        match self.overlay.as_mut() {
            Some(Overlay::Help) => {
                self.overlay = None;
                Reaction::Stay
            }
            Some(Overlay::Quit) => {
                let leave = matches!(key.code, KeyCode::Char('q' | 'y') | KeyCode::Enter);
                self.overlay = None;
                if leave { Reaction::Quit } else { Reaction::Stay }
            }
            Some(Overlay::Undo(entry)) => {
                let undo = matches!(key.code, KeyCode::Char('u' | 'y') | KeyCode::Enter);
                let entry = Some(*entry);
                self.overlay = None;
                if undo { Reaction::Do(Command::Undo { entry }) } else { Reaction::Stay }
            }
            Some(Overlay::Finish(batch)) => {
                let finish = matches!(key.code, KeyCode::Char('f' | 'y') | KeyCode::Enter);
                let batch = *batch;
                self.overlay = None;
                if finish { Reaction::Do(Command::Finish { batch }) } else { Reaction::Stay }
            }
            Some(Overlay::FinishPiece(piece)) => {
                let finish = matches!(key.code, KeyCode::Char('f' | 'y') | KeyCode::Enter);
                let piece = Some(*piece);
                self.overlay = None;
                if finish { Reaction::Do(Command::FinishPiece { piece }) } else { Reaction::Stay }
            }
            Some(Overlay::Form(form)) => {
                if action_for(key) == Some(Action::Suspend) {
                    return Reaction::Suspend;
                }
                match form.key(key, bench, now) {
                    Outcome::Open => {
                        // What is wrong, and the weights of what was typed, stand first.
                        self.overlay_scroll = 0;
                        Reaction::Stay
                    }
                    Outcome::Closed => {
                        self.overlay = None;
                        Reaction::Stay
                    }
                    Outcome::Submit(command) => {
                        self.overlay = None;
                        Reaction::Do(command)
                    }
                }
            }
            None if self.bedside => {
                self.message = None;
                self.key_at_bedside(key, bench, now)
            }
            None => {
                self.message = None;
                let Some(action) = action_for(key) else { return Reaction::Stay };
                let done = self.act_on_night(action, bench, now).or_else(|| self.act_on_piece(action, bench, now));
                done.unwrap_or_else(|| self.act(action, bench, now))
            }
        }
    }

    /// In the bedside view few keys do anything: what half-asleep fingers may press, and the way out.
    fn key_at_bedside(&mut self, key: KeyEvent, bench: &Bench, now: Timestamp) -> Reaction {
        let acknowledges = matches!(key.code, KeyCode::Char(' ') | KeyCode::Enter);
        match action_for(key) {
            Some(Action::Suspend) => Reaction::Suspend,
            Some(Action::Acknowledge) => self.act(Action::Acknowledge, bench, now),
            _ if acknowledges => self.act(Action::Acknowledge, bench, now),
            Some(Action::Snooze) => match bench.sounding() {
                Some(alarm) => Reaction::Do(Command::Snooze { alarm: alarm.id, until: now + BEDSIDE_SNOOZE }),
                None => Reaction::Stay,
            },
            Some(Action::Bedside | Action::Back | Action::Quit) => {
                self.bedside = false;
                Reaction::Stay
            }
            _ => self.complain("at the bedside: space acknowledges, z snoozes 10 min, b goes back to the bench"),
        }
    }

    /// Scrolls the overlay's text, if that is what the key is for.
    fn scrolled(&mut self, key: KeyEvent) -> bool {
        let arrows = matches!(self.overlay, Some(Overlay::Help));
        match key.code {
            KeyCode::PageDown => self.overlay_scroll += SCROLL,
            KeyCode::PageUp => self.overlay_scroll = self.overlay_scroll.saturating_sub(SCROLL),
            KeyCode::Down if arrows => self.overlay_scroll += 1,
            KeyCode::Up if arrows => self.overlay_scroll = self.overlay_scroll.saturating_sub(1),
            _ => return false,
        }
        self.overlay_scroll = self.overlay_scroll.min(MAX_SCROLL);
        true
    }

    /// Takes pasted text, which only a form can use.
    pub fn paste(&mut self, text: &str, bench: &Bench, now: Timestamp) {
        if let Some(Overlay::Form(form)) = self.overlay.as_mut() {
            form.paste(text, bench, now);
        }
    }

    fn act(&mut self, action: Action, bench: &Bench, now: Timestamp) -> Reaction {
        let chosen = self.selected(bench).and_then(|id| bench.log().batch(id));
        match action {
            Action::Mix => self.open(Form::Mix(MixForm::new(bench, chosen, now))),
            Action::Temperature => self.open(Form::Reading(ReadingForm::new())),
            Action::Observe => match observe(chosen, bench) {
                Some(form) => self.open(Form::Observe(form)),
                None => self.complain("no batch with stages is chosen; m mixes one"),
            },
            Action::Acknowledge => match bench.sounding() {
                // The finger was on its way before the eye could see what it answers.
                Some(_) if now.duration_since(self.shown_since).abs() < TIME_TO_READ => {
                    self.complain("another alarm has just come up: look, then press a")
                }
                Some(alarm) => Reaction::Do(Command::Acknowledge { alarm: alarm.id }),
                None => self.complain("nothing is ringing"),
            },
            Action::Snooze => match bench.sounding() {
                Some(alarm) => {
                    let about = format!("{}: {}", bench.title_of(alarm.id), alarm.words());
                    self.open(Form::Snooze(SnoozeForm::new(alarm.id, about)))
                }
                None => self.complain("nothing is ringing"),
            },
            Action::Finish => match chosen {
                Some(batch) => self.lay_over(Overlay::Finish(batch.id)),
                None => self.complain("no batch is running"),
            },
            Action::Undo => match bench.log().last_undoable() {
                Some(entry) => self.lay_over(Overlay::Undo(entry)),
                None => self.complain("there is nothing to undo"),
            },
            Action::SelectUp => self.step(bench, Step::Up),
            Action::SelectDown => self.step(bench, Step::Down),
            Action::ScrollUp => {
                let lines = bench.log().tail().count();
                self.scroll = (self.scroll + SCROLL).min(lines.saturating_sub(1));
                Reaction::Stay
            }
            Action::ScrollDown => {
                self.scroll = self.scroll.saturating_sub(SCROLL);
                Reaction::Stay
            }
            Action::Bedside => {
                self.bedside = true;
                Reaction::Do(bench.bedtime())
            }
            Action::Help => self.lay_over(Overlay::Help),
            Action::Suspend => Reaction::Suspend,
            Action::Quit if bench.log().running().next().is_none() => Reaction::Quit,
            Action::Quit => self.lay_over(Overlay::Quit),
            Action::Night
            | Action::GoBy
            | Action::Hold
            | Action::Piece
            | Action::Pour
            | Action::Level
            | Action::Tick
            | Action::Back
            | Action::PieceBefore
            | Action::PieceAfter => Reaction::Stay,
        }
    }

    fn open(&mut self, form: Form) -> Reaction {
        self.lay_over(Overlay::Form(Box::new(form)))
    }

    fn lay_over(&mut self, overlay: Overlay) -> Reaction {
        self.overlay = Some(overlay);
        self.overlay_scroll = 0;
        Reaction::Stay
    }

    fn complain(&mut self, line: &str) -> Reaction {
        self.say(line, Role::Warn);
        Reaction::Stay
    }

    fn step(&mut self, bench: &Bench, step: Step) -> Reaction {
        let ids: Vec<BatchId> = bench.log().running().map(|b| b.id).collect();
        let at = self.selected(bench).and_then(|id| ids.iter().position(|i| *i == id)).unwrap_or(0);
        let to = match step {
            Step::Up => at.saturating_sub(1),
            Step::Down => (at + 1).min(ids.len().saturating_sub(1)),
        };
        self.selected = ids.get(to).copied();
        Reaction::Stay
    }
}

#[derive(Clone, Copy)]
enum Step {
    Up,
    Down,
}

/// A form for the batch that rings, else for the chosen one.
fn observe(chosen: Option<&Batch>, bench: &Bench) -> Option<ObserveForm> {
    let ringing = bench.sounding().map(|alarm| alarm.id).filter(|alarm| alarm.batch().is_some());
    let wanted = ringing.and_then(AlarmId::batch).or(chosen.map(|batch| batch.id))?;
    let (batch, forecast) = bench.running().find(|(batch, _)| batch.id == wanted)?;
    ObserveForm::new(batch, forecast, ringing.and_then(AlarmId::stage), bench)
}

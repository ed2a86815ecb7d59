//! The loop: wait for a key, a change in the notebook, an answer, a signal, or the next moment the picture changes;
//! take in all there is; draw once. At rest nothing wakes.

use super::input::{self, Input};
use super::panes::{self, View};
use super::picture;
use super::screen::Screen;
use super::signals::{Signal, Signals};
use super::terminal::{self, Guard};
use super::theme::{Palette, Role};
use super::ui::{Reaction, Ui};
use super::wake::Sleeper;
use crate::alarm::{DesktopChannel, DesktopEvent, Health, terminal as signals_out};
use crate::bench::{Bench, Command, Effect, Event, Urgency, entry_words};
use crate::clock::Clock;
use crate::material::Catalogue;
use crate::notebook::{Notebook, NotebookError, Watch, WatchKind};
use crate::rehearsal::Script;
use crate::session::Session;
use crate::text::{PlainText, first_of};
use crossterm::event::KeyEvent;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use std::time::Duration;
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// How often a notebook that cannot be watched is asked for news.
const POLL_EVERY: SignedDuration = SignedDuration::from_millis(900);

/// How long to wait where only a key can change anything; the loop then looks once and waits again.
const UNTIL_A_KEY: Duration = Duration::from_hours(1);

/// What the screen runs on.
pub struct Options {
    pub clock: Box<dyn Clock>,
    pub zone: TimeZone,
    /// Reads the materials: at the start, and anew before each mix, so that a label's figures written meanwhile count.
    /// The lines say which of the user's files cannot be used.
    pub materials: Box<dyn Fn() -> (Catalogue, Vec<String>)>,
    pub notebook: Notebook,
    /// `None`: whatever suits the terminal.
    pub palette: Option<Palette>,
    /// Whether alarms also go to the desktop.
    pub desktop: bool,
    /// What is played onto the notebook, for a rehearsal.
    pub script: Option<Script>,
    /// Shortest time between two frames that time alone asks for; a rehearsal's seconds pass faster than eyes follow.
    pub frame_gap: Duration,
}

/// Why the screen could not open, or had to close.
#[derive(Debug, thiserror::Error)]
pub enum ScreenError {
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    #[error(
        "the terminal cannot be used: {0}. Run nightpour in a terminal window, or use its commands ('nightpour --help')"
    )]
    Terminal(#[from] std::io::Error),
}

/// Opens the screen and runs it until the user quits, the terminal goes, or the system asks the program to end.
pub fn run(options: Options) -> Result<(), ScreenError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        let mut signals = Signals::listen()?;
        let mut bench = Live::open(options)?;
        bench.run(&mut signals).await
    })
}

/// Something from outside.
enum Outside {
    Input(Input),
    NotebookChanged,
    Desktop(DesktopEvent),
}

enum Flow {
    GoOn,
    Leave,
}

struct Live {
    session: Session,
    materials: Box<dyn Fn() -> (Catalogue, Vec<String>)>,
    ui: Ui,
    script: Option<Script>,
    clock: Box<dyn Clock>,
    palette: Palette,
    frame_gap: Duration,
    desktop: Option<DesktopChannel>,
    watch: Watch,
    inbox: UnboundedReceiver<Outside>,
    title: String,
    stale: bool,
    /// Stopped by our own doing, and set up again since: the signal that tells so has nothing to add.
    stopped_itself: bool,
    // Dropped last, so that a failing part above still finds the terminal ours to give back.
    screen: Screen,
    _guard: Guard,
}

impl Live {
    fn open(options: Options) -> Result<Self, ScreenError> {
        let (outbox, inbox) = unbounded_channel();
        let watch = watch(&options.notebook, outbox.clone());
        let now = options.clock.now();
        let (catalogue, warnings) = (options.materials)();
        let bench = Bench::new(catalogue, options.zone, now);
        let (session, effects) = Session::open(bench, options.notebook, now)?;
        let guard = Guard::take()?;
        let screen = Screen::fresh()?;
        let mut live = Self {
            session,
            ui: Ui::default(),
            materials: options.materials,
            script: options.script,
            clock: options.clock,
            palette: options.palette.unwrap_or_else(terminal::detect_palette),
            frame_gap: options.frame_gap,
            desktop: None,
            watch,
            inbox,
            title: String::new(),
            stale: true,
            stopped_itself: false,
            screen,
            _guard: guard,
        };
        live.greet(warnings);
        live.draw()?;
        // The desktop is asked only now: the first picture does not wait for it.
        if options.desktop {
            let answers = outbox.clone();
            live.desktop = Some(DesktopChannel::open(move |event| {
                // The loop has ended; so will the program.
                let _ = answers.send(Outside::Desktop(event));
            }));
        } else {
            live.ui.set_health("desktop: off", Role::Faint);
        }
        let keys = outbox;
        input::start(move |input| keys.send(Outside::Input(input)).is_ok());
        live.perform(effects);
        Ok(live)
    }

    fn greet(&mut self, mut troubles: Vec<String>) {
        troubles.extend(self.session.unreadable().iter().map(ToString::to_string));
        if let Some(script) = &self.script {
            self.ui.say(format!("a rehearsal, invented: {}", script.title), Role::Focus);
        } else if let Some(line) = first_of(&troubles) {
            self.ui.say(line, Role::Warn);
        } else if let WatchKind::Polling { why } = self.watch.kind() {
            self.ui.say(PlainText::new(why).as_str(), Role::Faint);
        }
    }

    async fn run(&mut self, signals: &mut Signals) -> Result<(), ScreenError> {
        let sleeper = Sleeper::new();
        loop {
            while let Ok(outside) = self.inbox.try_recv() {
                if let Flow::Leave = self.take(outside)? {
                    return Ok(());
                }
            }
            if self.stale {
                self.draw()?;
            }
            let wait = self.wait();
            tokio::select! {
                outside = self.inbox.recv() => match outside {
                    Some(outside) => if let Flow::Leave = self.take(outside)? {
                        return Ok(());
                    },
                    None => return Ok(()),
                },
                signal = signals.next() => if let Flow::Leave = self.obey(signal)? {
                    return Ok(());
                },
                () = sleeper.after(wait) => self.pass_time(),
            }
        }
    }

    /// The present; a rehearsal's time stands still where its night ends.
    fn now(&self) -> Timestamp {
        let now = self.clock.now();
        self.script.as_ref().map_or(now, |script| now.min(script.ends))
    }

    /// Whether a rehearsal has come to its end.
    fn night_is_over(&self, now: Timestamp) -> bool {
        self.script.as_ref().is_some_and(|script| script.is_over(now))
    }

    /// How long nothing will happen by itself.
    fn wait(&self) -> Duration {
        let now = self.now();
        if self.night_is_over(now) {
            return UNTIL_A_KEY;
        }
        let bench = self.session.bench();
        let polling = matches!(self.watch.kind(), WatchKind::Polling { .. }).then(|| now + POLL_EVERY);
        let script = self.script.as_ref().and_then(Script::next);
        let own = [bench.next_tick(), polling, script].into_iter().flatten();
        let next = own.fold(picture::next_change(bench, now), Timestamp::min);
        self.clock.real_duration(next.duration_since(now)).max(self.frame_gap)
    }

    fn pass_time(&mut self) {
        let now = self.now();
        let mut effects = Vec::new();
        if let Some(script) = &mut self.script {
            while let Some((at, command)) = script.take_due(now) {
                effects.extend(self.session.handle(Event::Command(command), at));
            }
        }
        if matches!(self.watch.kind(), WatchKind::Polling { .. }) && self.session.changed_elsewhere() {
            effects.extend(self.session.catch_up(now));
        }
        effects.extend(self.session.handle(Event::Tick, now));
        if self.night_is_over(now) {
            self.ui.say("the night is over and stands still: look around, q leaves", Role::Focus);
        }
        self.stale = true;
        self.perform(effects);
    }

    fn take(&mut self, outside: Outside) -> Result<Flow, ScreenError> {
        let now = self.now();
        self.stale = true;
        let effects = match outside {
            Outside::Input(Input::Ended) => return Ok(Flow::Leave),
            Outside::Input(Input::Resized) => Vec::new(),
            Outside::Input(Input::Paste(text)) => {
                self.ui.paste(&text, self.session.bench(), now);
                Vec::new()
            }
            // A rehearsal has nothing to lose.
            Outside::Input(Input::Key(key)) if self.script.is_some() && self.ui.wants_to_quit(key) => {
                return Ok(Flow::Leave);
            }
            Outside::Input(Input::Key(key)) => match self.key(key, now) {
                Reaction::Stay => Vec::new(),
                Reaction::Do(command) => self.obey_user(command, now),
                Reaction::Quit => return Ok(Flow::Leave),
                Reaction::Suspend => {
                    if terminal::has_shell() {
                        self.suspend()?;
                    } else {
                        self.ui.say("no shell waits behind this window: Ctrl-Z would only freeze it", Role::Warn);
                    }
                    Vec::new()
                }
            },
            Outside::NotebookChanged => self.session.catch_up(now),
            Outside::Desktop(DesktopEvent::Acknowledged(alarm)) => self.obey_user(Command::Acknowledge { alarm }, now),
            Outside::Desktop(DesktopEvent::Health(health)) => {
                let role = if matches!(health, Health::Works { .. }) { Role::Faint } else { Role::Warn };
                self.ui.set_health(health.to_string(), role);
                // The top line may have no room for all of it.
                if role == Role::Warn && self.ui.message().is_none() {
                    self.ui.say(health.to_string(), role);
                }
                Vec::new()
            }
        };
        self.perform(effects);
        Ok(Flow::GoOn)
    }

    /// Gives the screen a key. Where that opens a form that mixes, the materials are read anew before.
    fn key(&mut self, key: KeyEvent, now: Timestamp) -> Reaction {
        let mut troubles = Vec::new();
        if self.ui.may_mix(key) {
            let catalogue;
            (catalogue, troubles) = (self.materials)();
            self.session.use_materials(catalogue);
        }
        let reaction = self.ui.key(key, self.session.bench(), now);
        if let (Reaction::Stay, Some(line)) = (&reaction, first_of(&troubles)) {
            self.ui.say(line, Role::Warn);
        }
        reaction
    }

    /// Does what the user asks for, and says what was written down: on a small screen nothing else shows it.
    fn obey_user(&mut self, command: Command, now: Timestamp) -> Vec<Effect> {
        let before = self.session.bench().log().last();
        let effects = self.session.handle(Event::Command(command), now);
        let bench = self.session.bench();
        let newest = bench.log().tail().next_back().filter(|(stored, _)| stored.id > before);
        if let Some((stored, _)) = newest {
            self.ui.say(entry_words(&stored.entry, bench.log(), bench.zone()), Role::Focus);
        }
        effects
    }

    fn obey(&mut self, signal: Signal) -> Result<Flow, ScreenError> {
        match signal {
            Signal::End => return Ok(Flow::Leave),
            Signal::Stop => self.suspend()?,
            Signal::Continued if std::mem::take(&mut self.stopped_itself) => {}
            Signal::Continued => {
                // Stopped from outside, where nothing could be restored: the shell may have changed the terminal since.
                terminal::retake()?;
                self.repaint()?;
            }
            Signal::Resized => self.stale = true,
        }
        Ok(Flow::GoOn)
    }

    fn suspend(&mut self) -> Result<(), ScreenError> {
        self.stopped_itself = true;
        terminal::suspend()?;
        self.repaint()
    }

    fn repaint(&mut self) -> Result<(), ScreenError> {
        self.screen = Screen::fresh()?;
        self.title.clear();
        let now = self.now();
        let effects = self.session.handle(Event::Tick, now);
        self.stale = true;
        self.perform(effects);
        Ok(())
    }

    /// Does what the bench asks for.
    fn perform(&mut self, effects: Vec<Effect>) {
        let mut loud = false;
        let mut said: Vec<(PlainText, bool)> = Vec::new();
        for effect in effects {
            self.stale = true;
            match effect {
                Effect::Ring(notice) => {
                    // What is only worth knowing waits until somebody looks.
                    loud |= notice.urgency > Urgency::Low;
                    if let Some(desktop) = &self.desktop {
                        desktop.ring(notice);
                    }
                }
                Effect::Hush(alarm) => {
                    if let Some(desktop) = &self.desktop {
                        desktop.withdraw(alarm);
                    }
                }
                Effect::Say { line, refused } => said.push((line, refused)),
                // The session has written what had to be written.
                Effect::Write(_) => {}
            }
        }
        if loud {
            // What is drawn next shows what rings.
            self.screen.with_next_frame(signals_out::BELL);
        }
        if !said.is_empty() {
            let lines: Vec<&str> = said.iter().map(|(line, _)| line.as_str()).collect();
            self.ui.say(lines.join(" · "), Role::Warn);
        }
    }

    fn draw(&mut self) -> Result<(), ScreenError> {
        self.stale = false;
        let title = self.window_title();
        if title != self.title {
            self.screen.with_next_frame(&signals_out::title(&PlainText::new(&title)));
            self.title = title;
        }
        let now = self.now();
        self.ui.show(self.session.bench().next_alarm().map(|alarm| alarm.id), now);
        self.ui.refresh(self.session.bench(), now);
        let view = View { bench: self.session.bench(), ui: &self.ui, now, palette: self.palette };
        Ok(self.screen.draw(|frame| panes::draw(frame, view))?)
    }

    /// What the window is called: the alarm that rings, or the program.
    fn window_title(&self) -> String {
        let bench = self.session.bench();
        let sounding = bench.sounding();
        sounding.map_or_else(|| "nightpour".to_owned(), |a| format!("▲ {}: {}", a.words(), bench.title_of(a.id)))
    }
}

fn watch(notebook: &Notebook, to: UnboundedSender<Outside>) -> Watch {
    Watch::start(notebook, move || {
        // The loop has ended; so will the program.
        let _ = to.send(Outside::NotebookChanged);
    })
}

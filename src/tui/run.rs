//! The loop: wait for a key, a change in the notebook, an answer, a signal, or the next moment the picture changes;
//! take in all there is; draw once. At rest nothing wakes.

use super::input::{self, Input};
use super::nights::{NightDone, Nights};
use super::panes::{self, View};
use super::picture;
use super::screen::Screen;
use super::terminal::{self, Guard};
use super::theme::{Palette, Role};
use super::ui::{Reaction, Ui};
use crate::alarm::{ChannelEvent, Doing, terminal as signals_out};
use crate::bench::{Command, Event, entry_words};
use crate::clock::Clock;
use crate::material::Catalogue;
use crate::notebook::{Notebook, NotebookError, WatchKind};
use crate::rehearsal::Script;
use crate::settings::{Reread, Settings};
use crate::text::{PlainText, first_of};
use crate::vigil::{Awake, Left, News, Signal, Signals, Sleeper, SourceState, Vigil, VigilOptions};
use crossterm::event::KeyEvent;
use jiff::{Timestamp, tz::TimeZone};
use std::time::Duration;
use tokio::sync::mpsc::{UnboundedReceiver, unbounded_channel};

/// More than come at once in any night.
const MOST_AT_ONCE: usize = 256;

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
    /// How the user wants to be told, and where readings come from.
    pub settings: Settings,
    /// Reads the settings anew; `None` where they cannot change.
    pub reread: Option<Reread>,
    /// What is wrong with the user's files, one line each.
    pub troubles: Vec<String>,
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
    News(News),
    Night(Box<NightDone>),
}

enum Flow {
    GoOn,
    Leave,
}

struct Live {
    vigil: Vigil,
    materials: Box<dyn Fn() -> (Catalogue, Vec<String>)>,
    ui: Ui,
    nights: Nights,
    script: Option<Script>,
    palette: Palette,
    frame_gap: Duration,
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
        let (catalogue, warnings) = (options.materials)();
        let (news, plans) = (outbox.clone(), outbox.clone());
        let vigil = VigilOptions {
            clock: options.clock,
            zone: options.zone,
            catalogue,
            notebook: options.notebook,
            settings: options.settings,
            reread: options.reread,
            kind: options.script.is_none().then_some("screen"),
        };
        // Where nobody listens the loop has ended; so will the program.
        let (vigil, effects) = Vigil::open(vigil, move |told| drop(news.send(Outside::News(told))))?;
        let guard = Guard::take()?;
        let screen = Screen::fresh()?;
        let mut live = Self {
            vigil,
            ui: Ui::default(),
            nights: Nights::start(move |done| plans.send(Outside::Night(Box::new(done))).is_ok()),
            materials: options.materials,
            script: options.script,
            palette: options.palette.unwrap_or_else(terminal::detect_palette),
            frame_gap: options.frame_gap,
            inbox,
            title: String::new(),
            stale: true,
            stopped_itself: false,
            screen,
            _guard: guard,
        };
        live.greet(options.troubles.into_iter().chain(warnings).collect());
        live.draw()?;
        // The channels are asked only now: the first picture does not wait for them.
        let mut left = live.vigil.start();
        let keys = outbox;
        input::start(move |input| keys.send(Outside::Input(input)).is_ok());
        let now = live.now();
        left.extend(live.vigil.begin(effects, now));
        live.perform(left);
        live.name_the_other();
        Ok(live)
    }

    fn greet(&mut self, mut troubles: Vec<String>) {
        troubles.extend(self.vigil.session().unreadable().iter().map(ToString::to_string));
        if let Some(script) = &self.script {
            self.ui.say(format!("a rehearsal, invented: {}", script.title), Role::Focus);
        } else if let Some(line) = first_of(&troubles) {
            self.ui.say(line, Role::Warn);
        } else if let Some(WatchKind::Polling { why }) = self.vigil.watch_kind() {
            self.ui.say(PlainText::new(why).as_str(), Role::Faint);
        }
    }

    /// Says so where another process sounds the alarms.
    fn name_the_other(&mut self) {
        if let Some(other) = self.vigil.other_watcher()
            && self.ui.message().is_none()
        {
            let kind = PlainText::new(&other.kind);
            self.ui.say(
                format!("alarms sound in another nightpour ({kind}, process {}), not here", other.pid),
                Role::Faint,
            );
        }
    }

    async fn run(&mut self, signals: &mut Signals) -> Result<(), ScreenError> {
        let sleeper = Sleeper::new();
        loop {
            // A flood from outside must not keep time from passing.
            for _ in 0..MOST_AT_ONCE {
                let Ok(outside) = self.inbox.try_recv() else { break };
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
    fn now(&mut self) -> Timestamp {
        let (now, left) = self.vigil.now();
        self.perform(left);
        self.script.as_ref().map_or(now, |script| now.min(script.ends))
    }

    /// Whether a rehearsal has come to its end.
    fn night_is_over(&self, now: Timestamp) -> bool {
        self.script.as_ref().is_some_and(|script| script.is_over(now))
    }

    /// How long nothing will happen by itself.
    fn wait(&mut self) -> Duration {
        let now = self.now();
        if self.night_is_over(now) {
            return UNTIL_A_KEY;
        }
        let script = self.script.as_ref().and_then(Script::next);
        let own = [self.vigil.next(now), script].into_iter().flatten();
        let next = own.fold(picture::next_change(self.vigil.bench(), now), Timestamp::min);
        self.vigil.clock().real_duration(next.duration_since(now)).max(self.frame_gap)
    }

    fn pass_time(&mut self) {
        let now = self.now();
        let mut left = Vec::new();
        if let Some(script) = &mut self.script {
            while let Some((at, command)) = script.take_due(now) {
                left.extend(self.vigil.handle(Event::Command(command), at));
            }
        }
        left.extend(self.vigil.pass_time(now));
        if self.night_is_over(now) {
            self.ui.say("the night is over and stands still: look around, q leaves", Role::Focus);
        }
        self.stale = true;
        self.perform(left);
    }

    fn take(&mut self, outside: Outside) -> Result<Flow, ScreenError> {
        let now = self.now();
        self.stale = true;
        let left = match outside {
            Outside::Input(Input::Ended) => return Ok(Flow::Leave),
            Outside::Input(Input::Resized) => Vec::new(),
            Outside::Input(Input::Paste(text)) => {
                self.ui.paste(&text, self.vigil.bench(), now);
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
            Outside::News(News::Channel(ChannelEvent::Acknowledged(alarm))) => {
                self.obey_user(Command::Acknowledge { alarm }, now)
            }
            Outside::News(news) => self.vigil.take(news, now),
            Outside::Night(done) => {
                if let Some(change) = self.ui.take_night(*done, self.vigil.bench()) {
                    let role = if change.worse { Role::Warn } else { Role::Focus };
                    self.ui.say(format!("the night has changed: {}; n shows it", change.words), role);
                }
                Vec::new()
            }
        };
        self.perform(left);
        Ok(Flow::GoOn)
    }

    /// Gives the screen a key. Where that opens a form that mixes, the materials are read anew before.
    fn key(&mut self, key: KeyEvent, now: Timestamp) -> Reaction {
        let mut troubles = Vec::new();
        if self.ui.may_mix(key) {
            let catalogue;
            (catalogue, troubles) = (self.materials)();
            self.vigil.session_mut().use_materials(catalogue);
        }
        let reaction = self.ui.key(key, self.vigil.bench(), now);
        if let (Reaction::Stay, Some(line)) = (&reaction, first_of(&troubles)) {
            self.ui.say(line, Role::Warn);
        }
        reaction
    }

    /// Does what the user asks for, and says what was written down: on a small screen nothing else shows it.
    fn obey_user(&mut self, command: Command, now: Timestamp) -> Vec<Left> {
        let before = self.vigil.bench().log().last();
        let left = self.vigil.handle(Event::Command(command), now);
        let bench = self.vigil.bench();
        let newest = bench.log().tail().next_back().filter(|(stored, _)| stored.id > before);
        if let Some((stored, _)) = newest {
            self.ui.say(entry_words(&stored.entry, bench.log(), bench.zone()), Role::Focus);
        }
        left
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
        // A stopped process sounds nothing: another one may.
        self.vigil.stand_down();
        terminal::suspend()?;
        self.vigil.stand_up();
        self.repaint()
    }

    fn repaint(&mut self) -> Result<(), ScreenError> {
        self.screen = Screen::fresh()?;
        self.title.clear();
        let now = self.now();
        let left = self.vigil.handle(Event::Tick, now);
        self.stale = true;
        self.perform(left);
        Ok(())
    }

    /// Does what is left for the screen.
    fn perform(&mut self, left: Vec<Left>) {
        let mut bell = false;
        let mut said: Vec<PlainText> = Vec::new();
        for left in left {
            self.stale = true;
            match left {
                Left::Rang { notice, outgoing, here: _ } => {
                    bell |= outgoing.bell;
                    if outgoing.notify {
                        self.screen.with_next_frame(&signals_out::notification(&notice.headline, &notice.detail));
                    }
                }
                Left::Hushed(_) => {}
                Left::Say { line, .. } => said.push(line),
                Left::Health(channel, health) => {
                    let news = self.ui.set_health(channel, health.clone());
                    // The top line may have no room for all of it.
                    if news && health.doing > Doing::Unknown && self.vigil.sounds() && self.ui.message().is_none() {
                        self.ui.say(format!("{channel}: {}", health.words), Role::Warn);
                    }
                }
            }
        }
        if bell {
            // What is drawn next shows what rings.
            self.screen.with_next_frame(signals_out::BELL);
        }
        if !said.is_empty() {
            let lines: Vec<&str> = said.iter().map(PlainText::as_str).collect();
            self.ui.say(lines.join(" · "), Role::Warn);
        }
    }

    fn draw(&mut self) -> Result<(), ScreenError> {
        let now = self.now();
        self.stale = false;
        let title = self.window_title();
        if title != self.title {
            self.screen.with_next_frame(&signals_out::title(&PlainText::new(&title)));
            self.title = title;
        }
        self.ui.set_standing(self.standing(), self.script.is_none() && !self.vigil.sounds());
        self.ui.set_trouble(self.trouble());
        let bench = self.vigil.bench();
        self.ui.show(bench.sounding().or_else(|| bench.next_alarm()).map(|alarm| alarm.id), now);
        self.ui.refresh(self.vigil.bench(), now);
        self.mind_the_night(now);
        let view = View { bench: self.vigil.bench(), ui: &self.ui, now, palette: self.palette };
        Ok(self.screen.draw(|frame| panes::draw(frame, view))?)
    }

    /// Has the night planned anew where there is a reason, for who looks at it or goes by it.
    fn mind_the_night(&mut self, now: Timestamp) {
        let bench = self.vigil.bench();
        let Some((piece, _)) = self.ui.piece(bench) else { return self.nights.forget() };
        if !self.ui.night_is_open(bench) && piece.planned().is_empty() {
            return;
        }
        let first = self.ui.night().plan(piece.id).and_then(|plan| Some(plan.first()?.at));
        self.nights.mind(bench, piece.id, &self.vigil.settings().night, first, now);
    }

    /// The first thermometer whose last word was not taken, and how many more there are.
    fn trouble(&self) -> Option<String> {
        let told = |source: &SourceState| Some(format!("{}: {}", source.name, source.trouble.as_ref()?));
        let lines: Vec<String> = self.vigil.sources().iter().filter_map(told).collect();
        first_of(&lines)
    }

    /// What stands beside the channels in the top line.
    fn standing(&self) -> Option<(String, Role)> {
        if self.script.is_some() {
            return None;
        }
        if let Some(other) = self.vigil.other_watcher() {
            let kind = PlainText::new(&other.kind);
            return Some((format!("alarms: in the {kind}"), Role::Faint));
        }
        match self.vigil.awake() {
            Awake::NotHeld => None,
            Awake::Held { lid: true } => Some(("stays awake".to_owned(), Role::Faint)),
            Awake::Held { lid: false } => Some(("stays awake, lid open".to_owned(), Role::Faint)),
            Awake::Refused { .. } => Some(("may fall asleep".to_owned(), Role::Warn)),
        }
    }

    /// What the window is called: the alarm that rings, or the program.
    fn window_title(&self) -> String {
        let bench = self.vigil.bench();
        let sounding = bench.sounding();
        sounding.map_or_else(|| "nightpour".to_owned(), |a| format!("▲ {}: {}", a.words(), bench.title_of(a.id)))
    }
}

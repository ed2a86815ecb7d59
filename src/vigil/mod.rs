//! Keeping watch: the bench with its notebook, its alarm channels, its thermometers and its clock, with or without a screen.
//!
//! Whoever runs it waits for [`News`], or until [`Vigil::next`], and hands either in; what is left for a screen to do comes
//! back. Nothing in here waits for anything.

mod around;
mod awake;
pub mod headless;
mod lease;
mod signals;
#[cfg(test)]
mod testing;
#[cfg(test)]
mod tests;
mod thermometers;
mod timekeeping;
mod wake;

pub use awake::{Awake, try_awake};
pub use lease::is_watched;
pub(crate) use signals::{Signal, Signals};
pub use thermometers::SourceState;
pub(crate) use wake::Sleeper;

use crate::alarm::{Channel, ChannelEvent, ChannelHealth, Channels, Outgoing};
use crate::bench::{AlarmId, Bench, Command, Effect, Entry, Event, NewEntry, Notice, Urgency};
use crate::clock::Clock;
use crate::material::Catalogue;
use crate::notebook::{Notebook, NotebookError, Watch, WatchKind, Watcher};
use crate::sense::Sampled;
use crate::session::Session;
use crate::settings::{Reread, Settings};
use crate::text::PlainText;
use awake::Wakefulness;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use lease::Lease;
use std::fs::File;
use std::sync::Arc;
use std::time::Duration;
use thermometers::{Outcome, Thermometers};
use timekeeping::{Noticed, Timekeeper};

/// How often a notebook that cannot be watched is asked for news.
const POLL_EVERY: SignedDuration = SignedDuration::from_millis(900);
/// Alarms do not wait longer than this for another program that is writing.
const PATIENCE: Duration = Duration::from_millis(300);
/// The process that sounds has so long to do so before another one does it in its place.
const GRACE: SignedDuration = SignedDuration::from_secs(5);
/// Two processes find the same alarm due at about the same moment.
const SAME_MOMENT: SignedDuration = SignedDuration::from_secs(2);
/// How often the promises of bedtime are held against the forecast, which itself is made anew once a minute.
const MIND_THE_NIGHT: SignedDuration = SignedDuration::from_secs(30);
/// A shorter sleep of the machine is not worth an entry.
const WORTH_WRITING: SignedDuration = SignedDuration::from_mins(1);

/// What comes from outside, on any thread.
pub enum News {
    NotebookChanged,
    Channel(ChannelEvent),
    Sampled(Sampled),
    /// The lease is ours.
    Gained(File),
    Awake(AwakeNews),
}

/// What came of asking that the machine stay awake.
pub struct AwakeNews(awake::Answer);

/// What is left for whoever shows it.
#[derive(Debug, Clone, PartialEq)]
pub enum Left {
    /// An alarm sounds; the terminal may have its part in it. `here`: this process sounds it.
    Rang {
        notice: Notice,
        outgoing: Outgoing,
        here: bool,
    },
    Hushed(AlarmId),
    Say {
        line: PlainText,
        refused: bool,
    },
    Health(Channel, ChannelHealth),
}

/// What it is made of.
pub struct VigilOptions {
    pub clock: Box<dyn Clock>,
    pub zone: TimeZone,
    pub catalogue: Catalogue,
    pub notebook: Notebook,
    pub settings: Settings,
    /// Reads them anew; `None` where they cannot change.
    pub reread: Option<Reread>,
    /// What the others are told that this is: "screen", "vigil". `None`: a rehearsal, which is nobody else's business.
    pub kind: Option<&'static str>,
}

type Tell = Arc<dyn Fn(News) + Send + Sync>;

/// The watch kept.
pub struct Vigil {
    session: Session,
    clock: Box<dyn Clock>,
    settings: Settings,
    reread: Option<Reread>,
    /// What was said of settings that cannot be used.
    bad_settings: Option<String>,
    channels: Option<Channels>,
    thermometers: Thermometers,
    watch: Option<Watch>,
    kind: Option<&'static str>,
    lease: Lease,
    keeper: Timekeeper,
    wakefulness: Wakefulness,
    /// When the night was last minded.
    night_seen: Timestamp,
    looked_around: Timestamp,
    /// Since when the alarms sound here.
    since: Timestamp,
    /// Another process is to sound something since then, and has not shown yet that it does.
    suspect: Option<(AlarmId, Timestamp)>,
    /// It did not, so this one sounds for it, since then.
    in_its_place: Option<(File, Timestamp)>,
    tell: Tell,
}

impl Vigil {
    /// Opens it and reads what the notebook holds. Neither channels nor thermometers run before [`Self::start`].
    pub fn open(
        options: VigilOptions,
        tell: impl Fn(News) + Send + Sync + 'static,
    ) -> Result<(Self, Vec<Effect>), NotebookError> {
        let VigilOptions { clock, zone, catalogue, mut notebook, settings, reread, kind } = options;
        let tell: Tell = Arc::new(tell);
        notebook.wait_at_most(PATIENCE)?;
        // Watched first and read then, so that no write falls between the two.
        let watch = kind.map(|_| {
            let tell = Arc::clone(&tell);
            Watch::start(&notebook, move || tell(News::NotebookChanged))
        });
        let keeper = Timekeeper::begin(&*clock, &mut notebook);
        let now = clock.now();
        let bench = Bench::new(catalogue, zone, now).with_rules(settings.rules.clone());
        let (session, effects) = Session::open(bench, notebook, now)?;
        let thermometers = Thermometers::new(&settings);
        let told = Arc::clone(&tell);
        let wakefulness = Wakefulness::new(Arc::new(move |answer| told(News::Awake(AwakeNews(answer)))));
        let vigil = Self {
            session,
            clock,
            channels: None,
            thermometers,
            settings,
            reread,
            bad_settings: None,
            watch,
            kind,
            lease: Lease::None,
            keeper,
            wakefulness,
            night_seen: Timestamp::MIN,
            looked_around: now,
            since: now,
            suspect: None,
            in_its_place: None,
            tell,
        };
        Ok((vigil, effects))
    }

    /// Starts the channels, and asks for the lease.
    pub fn start(&mut self) -> Vec<Left> {
        if self.kind.is_none() {
            return Vec::new();
        }
        self.open_channels();
        self.ask_for_lease();
        let why = if let Lease::Alone { why } = &self.lease { Some(why) } else { None };
        let line =
            |why| format!("no lock can be had beside the notebook ({why}): each open nightpour sounds for itself");
        why.map(|why| Left::Say { line: PlainText::new(&line(why)), refused: true }).into_iter().collect()
    }

    fn open_channels(&mut self) {
        let tell = Arc::clone(&self.tell);
        self.channels = Some(Channels::open(&self.settings, move |event| tell(News::Channel(event))));
    }

    /// Does what opening brought: what rings at once.
    pub fn begin(&mut self, effects: Vec<Effect>, now: Timestamp) -> Vec<Left> {
        self.perform(effects, now)
    }

    fn ask_for_lease(&mut self) {
        let tell = Arc::clone(&self.tell);
        self.lease = Lease::ask(self.session.notebook().path(), move |lock| tell(News::Gained(lock)));
        if self.lease.sounds() {
            self.begin_to_sound();
        }
    }

    fn begin_to_sound(&mut self) {
        self.since = self.clock.now();
        // It has sounded nothing yet.
        self.tell_watcher(Timestamp::UNIX_EPOCH);
        self.suspect = None;
        self.in_its_place = None;
        self.thermometers.start(&self.settings, &self.tell);
    }

    /// Lets another process sound: this one is about to be stopped.
    pub fn stand_down(&mut self) {
        if self.kind.is_some() {
            self.lease = Lease::None;
            self.in_its_place = None;
            self.thermometers.stop();
            self.wakefulness.mind(false, self.since);
        }
    }

    /// Takes up the watch again after [`Self::stand_down`].
    pub fn stand_up(&mut self) {
        if self.kind.is_some() {
            self.ask_for_lease();
        }
    }

    /// Whether the alarms sound here, or will as soon as the channels are started.
    pub fn sounds(&self) -> bool {
        self.lease.sounds() || self.in_its_place.is_some()
    }

    /// Who sounds the alarms instead; `None` where it is this process.
    pub fn other_watcher(&self) -> Option<Watcher> {
        if self.sounds() || self.kind.is_none() {
            return None;
        }
        self.session.notebook().watcher().ok().flatten().filter(|watcher| watcher.pid != std::process::id())
    }

    pub fn bench(&self) -> &Bench {
        self.session.bench()
    }

    pub fn session_mut(&mut self) -> &mut Session {
        &mut self.session
    }

    pub fn session(&self) -> &Session {
        &self.session
    }

    pub fn awake(&self) -> &Awake {
        self.wakefulness.state()
    }

    pub fn sources(&self) -> &[SourceState] {
        self.thermometers.states()
    }

    pub fn watch_kind(&self) -> Option<&WatchKind> {
        self.watch.as_ref().map(Watch::kind)
    }

    /// The present, and what has happened to the clock since the last look. To be asked at each wake-up, before anything else.
    pub fn now(&mut self) -> (Timestamp, Vec<Left>) {
        let (now, noticed) = self.keeper.now(&*self.clock, self.session.notebook_mut());
        let (mut effects, mut slept_for) = (Vec::new(), None);
        for noticed in noticed {
            match noticed {
                Noticed::ClockSet => effects.extend(self.session.catch_up(now)),
                Noticed::Slept(slept) => {
                    effects.extend(self.session.handle(Event::Woke(slept), now));
                    // What is due has its turn before anything is written; of several processes, who sounds tells of it.
                    slept_for = Some(slept).filter(|slept| self.sounds() && *slept >= WORTH_WRITING);
                }
            }
        }
        self.look_around(now, &mut effects);
        let mut left = self.perform(effects, now);
        if let Some(slept) = slept_for.filter(|_| self.kind.is_some()) {
            let entry = Entry::Slept { from: now.checked_sub(slept).unwrap_or(now) };
            let effects = self.session.write(&[NewEntry { happened: now, entry }], now);
            left.extend(self.perform(effects, now));
        }
        (now, left)
    }

    /// What the user has settled, as it holds now.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The present, for what takes no notice of how it came about.
    pub fn clock(&self) -> &dyn Clock {
        &*self.clock
    }

    /// Runs an event through the bench.
    pub fn handle(&mut self, event: Event, now: Timestamp) -> Vec<Left> {
        let effects = self.session.handle(event, now);
        self.perform(effects, now)
    }

    /// Takes in what came from outside.
    pub fn take(&mut self, news: News, now: Timestamp) -> Vec<Left> {
        let effects = match news {
            News::NotebookChanged => self.session.catch_up(now),
            News::Channel(ChannelEvent::Acknowledged(alarm)) => {
                self.session.handle(Event::Command(Command::Acknowledge { alarm }), now)
            }
            News::Channel(ChannelEvent::Health(channel, health)) => return vec![Left::Health(channel, health)],
            News::Sampled(sampled) => self.sample(sampled, now),
            News::Gained(lock) => {
                self.lease = Lease::Held { _lock: lock };
                self.begin_to_sound();
                let mut effects = self.session.handle(Event::TakenOver, now);
                let line = PlainText::new("alarms sound here now");
                effects.push(Effect::Say { line, refused: false });
                effects
            }
            News::Awake(AwakeNews(answer)) => {
                self.wakefulness.hear(answer);
                Vec::new()
            }
        };
        self.perform(effects, now)
    }

    fn sample(&mut self, sampled: Sampled, now: Timestamp) -> Vec<Effect> {
        match self.thermometers.take(sampled, now) {
            Outcome::Nothing => Vec::new(),
            Outcome::Write(reading) => self.session.write(&[reading], now),
            Outcome::Trouble(line) => vec![Effect::Say { line, refused: true }],
        }
    }

    /// Lets time have its effect.
    pub fn pass_time(&mut self, now: Timestamp) -> Vec<Left> {
        let mut effects = Vec::new();
        if self.polls() && self.session.changed_elsewhere() {
            effects.extend(self.session.catch_up(now));
        }
        effects.extend(self.session.handle(Event::Tick, now));
        effects.extend(self.look_after_the_other(now));
        let mut left = self.perform(effects, now);
        left.extend(self.mind_the_night(now));
        left
    }

    /// Notes what is counted on when the quiet hours begin, and what the forecast has moved away from it since.
    fn mind_the_night(&mut self, now: Timestamp) -> Vec<Left> {
        if !self.sounds() || self.kind.is_none() || now.duration_since(self.night_seen).abs() < MIND_THE_NIGHT {
            return Vec::new();
        }
        self.night_seen = now;
        let mut effects = Vec::new();
        if self.bench().bedtime_has_come(now) {
            effects.extend(self.session.handle(Event::Command(self.bench().bedtime()), now));
        }
        let moves = self.bench().moves(now);
        if !moves.is_empty() {
            let bench = self.bench();
            let words = moves.iter().map(|moved| crate::bench::entry_words(&moved.entry, bench.log(), bench.zone()));
            let said: Vec<Effect> =
                words.map(|line| Effect::Say { line: PlainText::new(&line), refused: false }).collect();
            effects.extend(self.session.write(&moves, now));
            effects.extend(said);
        }
        self.perform(effects, now)
    }

    fn polls(&self) -> bool {
        matches!(self.watch_kind(), Some(WatchKind::Polling { .. }))
    }

    /// When something will happen by itself, at the latest.
    pub fn next(&self, now: Timestamp) -> Option<Timestamp> {
        let polling = self.polls().then(|| now + POLL_EVERY);
        let suspect = self.suspect.map(|(_, since)| since + GRACE);
        [self.bench().next_tick(), polling, suspect].into_iter().flatten().min()
    }

    /// Whether the process that is to sound has done so. If not, it hangs, and this one sounds in its place.
    fn look_after_the_other(&mut self, now: Timestamp) -> Vec<Effect> {
        let pulse = |session: &Session| session.notebook().watcher().ok().flatten();
        if let Some((_, since)) = &self.in_its_place {
            // It has come back to life.
            if pulse(&self.session).is_some_and(|w| w.pid != std::process::id() && w.pulse > *since) {
                self.in_its_place = None;
                self.thermometers.stop();
            }
            return Vec::new();
        }
        let Some((_, since)) = self.suspect.filter(|(_, since)| now >= *since + GRACE) else { return Vec::new() };
        self.suspect = None;
        if pulse(&self.session).is_some_and(|watcher| watcher.pulse + SAME_MOMENT >= since) {
            return Vec::new();
        }
        // Of several that wait only one stands in.
        let Some(lock) = lease::stand_in(self.session.notebook().path()) else { return Vec::new() };
        self.in_its_place = Some((lock, now));
        self.thermometers.start(&self.settings, &self.tell);
        let mut effects = self.session.handle(Event::TakenOver, now);
        let line = PlainText::new("the other nightpour does not sound what is due: alarms sound here");
        effects.push(Effect::Say { line, refused: true });
        effects
    }

    fn perform(&mut self, effects: Vec<Effect>, now: Timestamp) -> Vec<Left> {
        let mut left = Vec::new();
        let mut rang = Vec::new();
        for effect in effects {
            match effect {
                Effect::Ring(notice) => {
                    let here = self.sounds();
                    let outgoing = match &mut self.channels {
                        Some(channels) if here => channels.ring(&notice, now),
                        // A rehearsal has a screen and nothing else.
                        None => Outgoing { bell: notice.urgency > Urgency::Low, notify: false },
                        Some(_) => Outgoing::default(),
                    };
                    if here {
                        rang.push(notice.clone());
                    } else if self.kind.is_some() && notice.first && notice.due > self.since {
                        // Both find it due at the same moment; an older one the other may have rung long ago.
                        self.suspect.get_or_insert((notice.alarm, now));
                    }
                    left.push(Left::Rang { notice, outgoing, here });
                }
                Effect::Hush(alarm) => {
                    self.suspect = self.suspect.filter(|(suspect, _)| *suspect != alarm);
                    if let Some(channels) = &mut self.channels {
                        channels.withdraw(alarm);
                    }
                    left.push(Left::Hushed(alarm));
                }
                Effect::Say { line, refused } => left.push(Left::Say { line, refused }),
                // The session has written what had to be written.
                Effect::Write(_) => {}
            }
        }
        // What sounds is written down only once it sounds: the notebook may be slow, or full.
        if !rang.is_empty() && self.kind.is_some() {
            let effects = self.note_rings(&rang, now);
            left.extend(self.perform(effects, now));
        }
        self.wakefulness.mind(self.needs_awake(), now);
        left
    }

    /// What comes of it: the notebook may have news.
    fn note_rings(&mut self, rang: &[Notice], now: Timestamp) -> Vec<Effect> {
        self.tell_watcher(now);
        let first = rang
            .iter()
            .filter(|notice| notice.first && notice.urgency > Urgency::Low)
            .map(|notice| Entry::Rang { alarm: notice.alarm });
        let entries: Vec<NewEntry> = first.map(|entry| NewEntry { happened: now, entry }).collect();
        if entries.is_empty() { Vec::new() } else { self.session.write(&entries, now) }
    }

    /// Writes down that this process sounds, and when it last did.
    fn tell_watcher(&mut self, pulse: Timestamp) {
        let Some(kind) = self.kind else { return };
        let settings = self.settings.fingerprint.clone();
        let watcher = Watcher { kind: kind.to_owned(), pid: std::process::id(), since: self.since, pulse, settings };
        // Without it another process may sound as well, which is the lesser evil.
        let _ = self.session.notebook_mut().set_watcher(&watcher);
    }

    /// Whether a clock runs that may wake somebody.
    fn needs_awake(&self) -> bool {
        let matters = |alarm: &&crate::bench::Alarm| alarm.wakes && !alarm.is_acknowledged();
        self.settings.stay_awake
            && self.kind.is_some()
            && self.sounds()
            && self.bench().alarms().iter().any(|a| matters(&a))
    }
}

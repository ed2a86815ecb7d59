//! All channels as one: which of them a notice goes out on.

use super::command::OwnCommand;
use super::desktop::{DesktopChannel, DesktopEvent, Health};
use super::health::{Channel, ChannelHealth, Doing};
use super::mqtt::Mqtt;
use super::post::Post;
use super::sound::Sound;
use super::worker::Worker;
use crate::bench::{AlarmId, Notice, Urgency};
use crate::settings::{ChannelSettings, Reach, Settings};
use jiff::{SignedDuration, Timestamp};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the channels report back, on threads of their own.
#[derive(Debug, Clone, PartialEq)]
pub enum ChannelEvent {
    /// Somebody answered on a channel.
    Acknowledged(AlarmId),
    Health(Channel, ChannelHealth),
}

/// Where [`ChannelEvent`]s go.
pub(super) type Tell = dyn Fn(ChannelEvent) + Send + Sync;

/// A channel that leaves the room is not asked again sooner: a phone that rings every minute is thrown across it.
const FAR_AGAIN: SignedDuration = SignedDuration::from_mins(5);

/// What the terminal itself has to do for a notice.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Outgoing {
    pub bell: bool,
    pub notify: bool,
}

/// The channels that are switched on.
pub struct Channels {
    settings: ChannelSettings,
    desktop: Option<DesktopChannel>,
    sound: Option<Worker>,
    command: Option<Worker>,
    post: Option<Worker>,
    mqtt: Option<Mqtt>,
    /// When each alarm last went out of the room.
    far: BTreeMap<(Channel, AlarmId), Timestamp>,
    /// When each alarm that rings first sounded here.
    sounded: BTreeMap<AlarmId, Timestamp>,
}

impl Channels {
    /// Starts what is switched on; each says how it is as soon as it knows.
    pub fn open(settings: &Settings, tell: impl Fn(ChannelEvent) + Send + Sync + 'static) -> Self {
        let tell: Arc<Tell> = Arc::new(tell);
        let wanted = settings.channels.clone();
        let desktop = wanted.desktop.map(|_| {
            let tell = Arc::clone(&tell);
            DesktopChannel::open(move |event| tell(translated(event)))
        });
        let sound = wanted.sound.clone().map(|sound| Worker::start(Channel::Sound, Sound::new(sound), &tell));
        let command = wanted.command.clone().map(|own| Worker::start(Channel::Command, OwnCommand::new(own), &tell));
        let post = wanted.post.clone().map(|post| Worker::start(Channel::Post, Post::new(post), &tell));
        let mqtt = wanted.mqtt.clone().zip(settings.broker.clone());
        let mqtt = mqtt.map(|(mqtt, broker)| Mqtt::start(broker, mqtt, &tell));
        if wanted.sound.is_some() {
            let found = super::sound::Player::find(wanted.sound.as_ref().and_then(|sound| sound.player.as_deref()));
            let health = match found {
                Ok(players) => {
                    let names: Vec<String> = players.iter().map(super::sound::Player::name).collect();
                    ChannelHealth::new(Doing::Unknown, &format!("'{}' will play", names.join("' or '")))
                }
                Err(none) => ChannelHealth::new(Doing::Fails, &none.to_string()),
            };
            tell(ChannelEvent::Health(Channel::Sound, health));
        }
        Self { settings: wanted, desktop, sound, command, post, mqtt, far: BTreeMap::new(), sounded: BTreeMap::new() }
    }

    /// Sends `notice` out on every channel whose turn it is, and says what the terminal has to do. Returns at once.
    pub fn ring(&mut self, notice: &Notice, now: Timestamp) -> Outgoing {
        // From when it first sounded here: what was missed is not for every channel at once.
        let sounded = *self.sounded.entry(notice.alarm).or_insert(now);
        let unanswered = now.duration_since(sounded).max(SignedDuration::ZERO);
        let its_turn = |reach: &Reach| SignedDuration::try_from(reach.after).is_ok_and(|after| unanswered >= after);
        // What is only worth knowing waits until somebody looks.
        let loud = notice.urgency > Urgency::Low;
        let far = &mut self.far;
        let mut far_turn = |channel, reach: &Reach| {
            let rested =
                far.get(&(channel, notice.alarm)).is_none_or(|last| now.duration_since(*last).abs() >= FAR_AGAIN);
            let goes = loud && rested && its_turn(reach);
            if goes {
                far.insert((channel, notice.alarm), now);
            }
            goes
        };
        if let Some(desktop) = self.desktop.as_ref().filter(|_| self.settings.desktop.as_ref().is_some_and(its_turn)) {
            desktop.ring(notice.clone());
        }
        if let (Some(sound), Some(settings)) = (&self.sound, &self.settings.sound)
            && loud
            && its_turn(&settings.reach)
        {
            sound.ring(notice.clone());
        }
        if let (Some(command), Some(settings)) = (&self.command, &self.settings.command)
            && far_turn(Channel::Command, &settings.reach)
        {
            command.ring(notice.clone());
        }
        if let (Some(post), Some(settings)) = (&self.post, &self.settings.post)
            && far_turn(Channel::Post, &settings.reach)
        {
            post.ring(notice.clone());
        }
        if let (Some(mqtt), Some(settings)) = (&self.mqtt, &self.settings.mqtt)
            && far_turn(Channel::Mqtt, &settings.reach)
        {
            mqtt.ring(notice.clone());
        }
        Outgoing {
            bell: loud && self.settings.bell.as_ref().is_some_and(its_turn),
            notify: self.settings.terminal.as_ref().is_some_and(its_turn),
        }
    }

    /// Takes an alarm back from every channel that still has it.
    pub fn withdraw(&mut self, alarm: AlarmId) {
        self.sounded.remove(&alarm);
        self.far.retain(|(_, told), _| *told != alarm);
        if let Some(desktop) = &self.desktop {
            desktop.withdraw(alarm);
        }
        for worker in [&self.sound, &self.command, &self.post].into_iter().flatten() {
            worker.withdraw(alarm);
        }
        if let Some(mqtt) = &self.mqtt {
            mqtt.withdraw(alarm);
        }
    }
}

fn translated(event: DesktopEvent) -> ChannelEvent {
    match event {
        DesktopEvent::Acknowledged(alarm) => ChannelEvent::Acknowledged(alarm),
        DesktopEvent::Health(health) => {
            let doing = match health {
                Health::Works { .. } => Doing::Works,
                Health::Unknown => Doing::Unknown,
                Health::Slow { .. } => Doing::Slow,
                Health::Unreachable { .. } => Doing::Fails,
            };
            ChannelEvent::Health(
                Channel::Desktop,
                ChannelHealth::new(doing, health.to_string().trim_start_matches("desktop: ")),
            )
        }
    }
}

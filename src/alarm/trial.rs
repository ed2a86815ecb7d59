//! Each channel sounded once for real, to see which of them would wake somebody.

use super::ChannelEvent;
use super::channels::Tell;
use super::command::OwnCommand;
use super::desktop::{DesktopChannel, DesktopEvent, Health};
use super::health::{Channel, ChannelHealth, Doing};
use super::mqtt::{Mqtt, TAKEN};
use super::post::Post;
use super::sound::Sound;
use super::worker::Deliver;
use crate::bench::Notice;
use crate::settings::Settings;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;

/// A desktop, or a broker, that has not answered by then does not work tonight.
const PATIENCE: Duration = Duration::from_secs(10);

/// Sounds `notice` on every channel that is switched on, one after the other, but for those the terminal has to sound, and
/// gives each to `tell` as soon as it is known. Takes as long as they take, within their limits.
pub fn trial(settings: &Settings, notice: &Notice, mut tell: impl FnMut(Channel, ChannelHealth)) {
    let channels = &settings.channels;
    if channels.desktop.is_some() {
        tell(Channel::Desktop, desktop(notice));
    }
    if let Some(sound) = &channels.sound {
        tell(Channel::Sound, delivered(&mut Sound::new(sound.clone()), notice));
    }
    if let Some(command) = &channels.command {
        tell(Channel::Command, delivered(&mut OwnCommand::new(command.clone()), notice));
    }
    if let Some(post) = &channels.post {
        tell(Channel::Post, delivered(&mut Post::new(post.clone()), notice));
    }
    if let (Some(mqtt), Some(broker)) = (&channels.mqtt, &settings.broker) {
        let (sender, told) = channel();
        let to: Arc<Tell> = Arc::new(move |event| drop(sender.send(event)));
        let line = Mqtt::start(broker.clone(), mqtt.clone(), &to);
        line.ring(notice.clone());
        tell(Channel::Mqtt, confirmed(&told));
    }
}

fn delivered(channel: &mut impl Deliver, notice: &Notice) -> ChannelHealth {
    match channel.deliver(notice) {
        Ok(words) => ChannelHealth { doing: Doing::Works, words },
        Err(words) => ChannelHealth { doing: Doing::Fails, words },
    }
}

fn desktop(notice: &Notice) -> ChannelHealth {
    let (sender, told) = channel();
    let desktop = DesktopChannel::open(move |event| drop(sender.send(event)));
    desktop.ring(notice.clone());
    loop {
        match told.recv_timeout(PATIENCE) {
            Ok(DesktopEvent::Health(Health::Unknown) | DesktopEvent::Acknowledged(_)) => {}
            Ok(DesktopEvent::Health(health)) => {
                let doing = if matches!(health, Health::Works { .. }) { Doing::Works } else { Doing::Fails };
                // Time for it to be shown; withdrawn at once, it would never be seen.
                std::thread::sleep(Duration::from_millis(300));
                return ChannelHealth::new(doing, health.to_string().trim_start_matches("desktop: "));
            }
            Err(_) => return ChannelHealth::new(Doing::Fails, "the desktop does not answer"),
        }
    }
}

fn confirmed(told: &Receiver<ChannelEvent>) -> ChannelHealth {
    loop {
        match told.recv_timeout(PATIENCE) {
            Ok(ChannelEvent::Health(_, health)) if health.doing == Doing::Fails || health.words.as_str() == TAKEN => {
                return health;
            }
            Ok(_) => {}
            Err(_) => return ChannelHealth::new(Doing::Fails, "the broker does not confirm what it is sent"),
        }
    }
}

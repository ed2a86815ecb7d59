//! Alarms published to the user's broker, each until the broker has confirmed it.

use super::health::{Channel, ChannelHealth, Doing};
use super::message::message;
use super::waiting::{Waiting, more_words};
use super::{ChannelEvent, Tell};
use crate::bench::{AlarmId, Notice};
use crate::broker::{self, Pauses};
use crate::settings::{Broker, MqttSettings};
use rumqttc::{Client, Event, Outgoing, Packet, QoS};
use std::collections::{BTreeMap, VecDeque};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread;

/// What is said once the broker has confirmed an alarm.
pub(super) const TAKEN: &str = "taken by the broker";

/// The handle on the channel. Dropping it ends the line at its next turn.
#[derive(Debug)]
pub(super) struct Mqtt {
    desk: Arc<Desk>,
}

/// What both sides of the channel work on.
struct Desk {
    topic: String,
    state: Mutex<State>,
}

impl std::fmt::Debug for Desk {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Desk").field("topic", &self.topic).finish_non_exhaustive()
    }
}

#[derive(Default)]
struct State {
    /// Not confirmed yet.
    waiting: Waiting,
    /// While the line stands.
    client: Option<Client>,
    /// Handed to the line, which numbers them in this order.
    handed: VecDeque<AlarmId>,
    /// Under way, by their number.
    numbered: BTreeMap<u16, AlarmId>,
}

impl Mqtt {
    pub fn start(broker: Broker, settings: MqttSettings, tell: &Arc<Tell>) -> Self {
        let desk = Arc::new(Desk { topic: settings.topic, state: Mutex::default() });
        let (kept, told) = (Arc::downgrade(&desk), Arc::clone(tell));
        let line = move || {
            let name = broker::line_name("alarms");
            let mut pauses = Pauses::new();
            // Nobody rings any more once the handle is gone.
            while let Some(desk) = kept.upgrade() {
                let why = hold(&desk, &broker, &name, &mut pauses, &told);
                desk.state().break_off();
                let more = more_words(desk.state().waiting.len());
                drop(desk);
                told(ChannelEvent::Health(Channel::Mqtt, ChannelHealth::new(Doing::Fails, &format!("{why}{more}"))));
                thread::sleep(pauses.next());
            }
        };
        if let Err(why) = thread::Builder::new().name("alarm-mqtt".into()).spawn(line) {
            let health = ChannelHealth::new(Doing::Fails, &format!("no thread could be started ({why})"));
            tell(ChannelEvent::Health(Channel::Mqtt, health));
        }
        Self { desk }
    }

    pub fn ring(&self, notice: Notice) {
        let mut state = self.desk.state();
        state.hand(&notice, &self.desk.topic);
        state.waiting.keep(notice);
    }

    pub fn withdraw(&self, alarm: AlarmId) {
        self.desk.state().waiting.forget(alarm);
    }
}

impl Desk {
    fn state(&self) -> MutexGuard<'_, State> {
        // Each change of it is whole.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl State {
    /// Gives one to the line, if it stands and has room.
    fn hand(&mut self, notice: &Notice, topic: &str) {
        let Some(client) = &self.client else { return };
        let Ok(payload) = serde_json::to_vec(&message(notice)) else { return };
        if client.try_publish(topic, QoS::AtLeastOnce, false, payload).is_ok() {
            self.handed.push_back(notice.alarm);
        }
    }

    fn break_off(&mut self) {
        self.client = None;
        self.handed.clear();
        self.numbered.clear();
    }
}

/// Holds one line until it breaks, and says why it did.
fn hold(desk: &Desk, broker: &Broker, name: &str, pauses: &mut Pauses, tell: &Arc<Tell>) -> String {
    let (client, mut connection) = match broker::open(broker, name) {
        Ok(line) => line,
        Err(why) => return why,
    };
    for event in connection.iter() {
        match event {
            Ok(Event::Incoming(Packet::ConnAck(_))) => {
                pauses.reset();
                let words = format!("published on '{}'", desk.topic);
                tell(ChannelEvent::Health(Channel::Mqtt, ChannelHealth::new(Doing::Works, &words)));
                let mut state = desk.state();
                state.client = Some(client.clone());
                for notice in state.waiting.take() {
                    state.hand(&notice, &desk.topic);
                    state.waiting.keep(notice);
                }
            }
            Ok(Event::Outgoing(Outgoing::Publish(number))) => {
                let mut state = desk.state();
                if let Some(alarm) = state.handed.pop_front() {
                    state.numbered.insert(number, alarm);
                }
            }
            Ok(Event::Incoming(Packet::PubAck(ack))) => {
                let mut state = desk.state();
                if let Some(alarm) = state.numbered.remove(&ack.pkid) {
                    let newer = state.handed.contains(&alarm) || state.numbered.values().any(|other| *other == alarm);
                    if !newer {
                        state.waiting.forget(alarm);
                        drop(state);
                        tell(ChannelEvent::Health(Channel::Mqtt, ChannelHealth::new(Doing::Works, TAKEN)));
                    }
                }
            }
            Ok(_) => {}
            Err(why) => return broker::broken(&why, broker),
        }
    }
    "the line to the broker ended".to_owned()
}

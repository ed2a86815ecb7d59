//! Readings that come on topics of the user's broker.

use super::sources::{Sampled, Tell, sample_of};
use crate::broker::{self, Pauses};
use crate::settings::{Broker, Origin, SourceSettings};
use crate::text::PlainText;
use rumqttc::{Event, Packet, QoS, matches};
use std::sync::{Arc, Weak};
use std::thread;

/// Listens on the topics of `sources` for as long as somebody needs them.
pub(super) fn start(sources: &[SourceSettings], broker: &Broker, alive: Weak<()>, tell: &Arc<Tell>) {
    let listed: Vec<(usize, String, SourceSettings)> = sources
        .iter()
        .enumerate()
        .filter_map(|(number, source)| match &source.origin {
            Origin::Topic(topic) => Some((number, topic.clone(), source.clone())),
            _ => None,
        })
        .collect();
    if listed.is_empty() {
        return;
    }
    let (broker, told) = (broker.clone(), Arc::clone(tell));
    let numbers: Vec<usize> = listed.iter().map(|(number, ..)| *number).collect();
    let listen = move || {
        let name = broker::line_name("readings");
        let mut pauses = Pauses::new();
        while alive.strong_count() > 0 {
            let why = hold(&listed, &broker, &name, &mut pauses, &alive, &told);
            for (source, ..) in &listed {
                told(Sampled { source: *source, told: Err(PlainText::new(&why)) });
            }
            thread::sleep(pauses.next());
        }
    };
    if let Err(why) = thread::Builder::new().name("source-topics".into()).spawn(listen) {
        for source in numbers {
            tell(Sampled { source, told: Err(PlainText::new(&format!("no thread could be started ({why})"))) });
        }
    }
}

/// Holds one line until it breaks, and says why it did.
fn hold(
    listed: &[(usize, String, SourceSettings)],
    broker: &Broker,
    name: &str,
    pauses: &mut Pauses,
    alive: &Weak<()>,
    tell: &Arc<Tell>,
) -> String {
    let (client, mut connection) = match broker::open(broker, name) {
        Ok(line) => line,
        Err(why) => return why,
    };
    for event in connection.iter() {
        if alive.strong_count() == 0 {
            break;
        }
        match event {
            Ok(Event::Incoming(Packet::ConnAck(_))) => {
                pauses.reset();
                for (_, topic, _) in listed {
                    if let Err(why) = client.try_subscribe(topic, QoS::AtLeastOnce) {
                        return why.to_string();
                    }
                }
            }
            // What the broker kept may be from a thermometer that has died since.
            Ok(Event::Incoming(Packet::Publish(message))) if message.retain => {}
            Ok(Event::Incoming(Packet::Publish(message))) => {
                let text = String::from_utf8_lossy(&message.payload);
                for (source, _, settings) in listed.iter().filter(|(_, topic, _)| matches(&message.topic, topic)) {
                    tell(Sampled { source: *source, told: sample_of(&text, &settings.form) });
                }
            }
            Ok(_) => {}
            Err(why) => return broker::broken(&why, broker),
        }
    }
    "the line to the broker ended".to_owned()
}

//! The line to an MQTT broker: opened, kept, and opened again after it broke, with growing pauses.

use crate::settings::Broker;
use crate::text::printable;
use rumqttc::{Client, Connection, MqttOptions, Transport};
use std::time::Duration;

/// The first pause after a broken line; each one after it is twice as long.
const FIRST_PAUSE: Duration = Duration::from_secs(1);
const LONGEST_PAUSE: Duration = Duration::from_secs(30);
/// Requests that wait for the line; what does not fit waits with us.
const MOST_REQUESTS: usize = 64;
/// No message of ours is larger, and none that is taken in.
const MOST_BYTES: usize = 64 * 1024;

/// Opens a line as `name`; two lines of one name would throw each other out. The user's secret is read anew.
pub(crate) fn open(broker: &Broker, name: &str) -> Result<(Client, Connection), String> {
    let mut options = MqttOptions::new(name, &broker.host, broker.port);
    options.set_keep_alive(broker.keep_alive).set_max_packet_size(MOST_BYTES, MOST_BYTES).set_clean_session(true);
    if broker.tls {
        options.set_transport(Transport::tls_with_default_config());
    }
    if let Some((user, secret)) = &broker.user {
        options.set_credentials(user, secret.read().map_err(|why| why.to_string())?);
    }
    Ok(Client::new(options, MOST_REQUESTS))
}

/// A name for a line of this process.
pub(crate) fn line_name(what: &str) -> String {
    format!("nightpour-{what}-{}", std::process::id())
}

/// Why a line broke, in a few words.
pub(crate) fn broken(why: &rumqttc::ConnectionError, broker: &Broker) -> String {
    let place = printable(&format!("{}:{}", broker.host, broker.port));
    match why {
        rumqttc::ConnectionError::ConnectionRefused(code) => format!("the broker {place} refuses ({code:?})"),
        rumqttc::ConnectionError::NetworkTimeout | rumqttc::ConnectionError::FlushTimeout => {
            format!("the broker {place} does not answer")
        }
        other => format!("no line to the broker {place} ({})", printable(&other.to_string())),
    }
}

/// Pauses that grow.
#[derive(Debug)]
pub(crate) struct Pauses(Duration);

impl Pauses {
    pub fn new() -> Self {
        Self(FIRST_PAUSE)
    }

    pub fn next(&mut self) -> Duration {
        let now = self.0;
        self.0 = (now * 2).min(LONGEST_PAUSE);
        now
    }

    /// The line stands again.
    pub fn reset(&mut self) {
        self.0 = FIRST_PAUSE;
    }
}

//! The line to an MQTT broker: opened, kept, and opened again after it broke, with growing pauses.

use crate::settings::Broker;
use crate::text::printable;
use rumqttc::tokio_rustls::rustls::{ClientConfig, RootCertStore};
use rumqttc::{Client, Connection, MqttOptions, TlsConfiguration, Transport};
use std::sync::Arc;
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
        options.set_transport(Transport::tls_with_config(TlsConfiguration::Rustls(Arc::new(tls()?))));
    }
    if let Some((user, secret)) = &broker.user {
        options.set_credentials(user, secret.read().map_err(|why| why.to_string())?);
    }
    Ok(Client::new(options, MOST_REQUESTS))
}

/// Encryption with the certificates this system trusts. The library's own way panics over a bad one.
fn tls() -> Result<ClientConfig, String> {
    let mut trusted = RootCertStore::empty();
    trusted.add_parsable_certificates(rustls_native_certs::load_native_certs().certs);
    if trusted.is_empty() {
        return Err("this system trusts no certificate authority, so the broker cannot be checked".to_owned());
    }
    Ok(ClientConfig::builder().with_root_certificates(trusted).with_no_client_auth())
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn encryption_is_had_or_refused_in_words() {
        // Which of the two depends on the certificates installed here.
        if let Err(why) = tls() {
            assert!(why.contains("certificate"), "{why}");
        }
    }

    #[test]
    fn pauses_grow_to_half_a_minute_and_begin_anew() {
        let mut pauses = Pauses::new();
        let seconds: Vec<u64> = (0..7).map(|_| pauses.next().as_secs()).collect();
        assert_eq!(seconds, [1, 2, 4, 8, 16, 30, 30]);
        pauses.reset();
        assert_eq!(pauses.next(), FIRST_PAUSE);
    }
}

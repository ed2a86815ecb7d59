//! The message broker: where it is, and how it is entered.

use super::read::{secret, span};
use super::secret::Secret;
use crate::strict::{Field, Key, Reported, Spanned, Table};
use std::time::Duration;

const HOST: Key = Key::new("host", "\"broker.local\"");
const PORT: Key = Key::new("port", "1883");
const TLS: Key = Key::new("tls", "true");
const USER: Key = Key::new("user", "\"bench\"");
const PASSWORD_FILE: Key = Key::new("password_file", "\"/home/me/.broker-password\"");
const PASSWORD_ENV: Key = Key::new("password_env", "\"BROKER_PASSWORD\"");
const KEEP_ALIVE: Key = Key::new("keep_alive", "\"30s\"");

/// An MQTT broker (MQTT 3.1.1, OASIS).
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broker {
    pub host: String,
    pub port: u16,
    pub tls: bool,
    pub user: Option<(String, Secret)>,
    pub keep_alive: Duration,
}

pub(super) fn broker(table: &mut Table<'_>) -> Result<Broker, Reported> {
    let host = table.required(HOST, Field::text);
    let tls = table.optional(TLS, Field::truth);
    let port = table.optional(PORT, |field| field.whole(1..=u32::from(u16::MAX)));
    let user = table.optional(USER, Field::text);
    let password = secret(table, PASSWORD_FILE, PASSWORD_ENV);
    let keep_alive = span(table, KEEP_ALIVE);
    let (tls, user, password) = (tls?.is_some_and(Spanned::into_inner), user?, password?);
    let user = match (user, password) {
        (Some(user), Some(password)) => Some((user.into_inner().to_string(), password)),
        (None, None) => None,
        (Some(_), None) => return Err(table.missing(PASSWORD_FILE)),
        (None, Some(_)) => return Err(table.missing(USER)),
    };
    let usual = if tls { 8883 } else { 1883 };
    let port = port?.map_or(usual, |port| u16::try_from(port.into_inner()).unwrap_or(usual));
    // The protocol counts whole seconds, and the library takes no fewer than five.
    let keep_alive = keep_alive?.unwrap_or(Duration::from_secs(30)).max(Duration::from_secs(5));
    Ok(Broker { host: host?.into_inner().to_string(), port, tls, user, keep_alive })
}

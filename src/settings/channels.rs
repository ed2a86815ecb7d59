//! The channels an alarm goes out on.

use super::read::{command, reach_after, secret, span};
use super::secret::Secret;
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use std::time::Duration;

const ON: Key = Key::new("on", "true");
const DESKTOP: Key = Key::new("desktop", "[channel.desktop]");
const BELL: Key = Key::new("bell", "[channel.bell]");
const TERMINAL: Key = Key::new("terminal", "[channel.terminal]");
const SOUND: Key = Key::new("sound", "[channel.sound]");
const COMMAND: Key = Key::new("command", "[channel.command]");
const POST: Key = Key::new("post", "[channel.post]");
const MQTT: Key = Key::new("mqtt", "[channel.mqtt]");
const PLAYER: Key = Key::new("player", "[\"aplay\", \"-q\"]");
const SOFTEST: Key = Key::new("softest_percent", "15");
const LOUDEST: Key = Key::new("loudest_percent", "100");
const RUN: Key = Key::new("run", "[\"/home/me/bin/ring-the-kitchen\"]");
const WITHIN: Key = Key::new("within", "\"10s\"");
const URL: Key = Key::new("url", "\"https://alarms.example/mine\"");
const AS: Key = Key::new("as", "\"json\"");
const TOKEN_FILE: Key = Key::new("token_file", "\"/home/me/.alarm-token\"");
const TOKEN_ENV: Key = Key::new("token_env", "\"ALARM_TOKEN\"");
const TOPIC: Key = Key::new("topic", "\"bench/alarms\"");

/// When a channel comes in.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Reach {
    /// Only once an alarm has gone unanswered for so long.
    pub after: Duration,
}

/// A tone, played by the first player found, or by this one.
#[derive(Debug, Clone, PartialEq)]
pub struct SoundSettings {
    pub reach: Reach,
    pub player: Option<Vec<String>>,
    /// Shares of full scale, of the first tone and of the last.
    pub softest: f64,
    pub loudest: f64,
}

/// A command of the user's.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CommandSettings {
    pub reach: Reach,
    pub run: Vec<String>,
    pub within: Duration,
}

/// What an HTTP message consists of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PostForm {
    Json,
    /// Plain text, headline and detail.
    Text,
}

/// A message by HTTP POST.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PostSettings {
    pub reach: Reach,
    pub url: String,
    pub form: PostForm,
    /// Sent as a bearer token (RFC 6750).
    pub token: Option<Secret>,
}

/// A message to the broker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MqttSettings {
    pub reach: Reach,
    pub topic: String,
}

/// `None`: not used.
#[derive(Debug, Clone, PartialEq)]
pub struct ChannelSettings {
    pub desktop: Option<Reach>,
    pub bell: Option<Reach>,
    pub terminal: Option<Reach>,
    pub sound: Option<SoundSettings>,
    pub command: Option<CommandSettings>,
    pub post: Option<PostSettings>,
    pub mqtt: Option<MqttSettings>,
}

impl Default for ChannelSettings {
    fn default() -> Self {
        let at_once = Some(Reach::default());
        let sound = SoundSettings { reach: Reach::default(), player: None, softest: 0.15, loudest: 1.0 };
        Self {
            desktop: at_once,
            bell: at_once,
            terminal: at_once,
            sound: Some(sound),
            command: None,
            post: None,
            mqtt: None,
        }
    }
}

impl ChannelSettings {
    /// No channel at all.
    pub fn none() -> Self {
        Self { desktop: None, bell: None, terminal: None, sound: None, ..Self::default() }
    }
}

pub(super) fn channels(table: &mut Table<'_>) -> Result<ChannelSettings, Reported> {
    let usual = ChannelSettings::default();
    let plain = |table: &mut Table<'_>, key, usual: Option<Reach>| {
        Ok(table.optional(key, |field| field.table(|table| channel(table, |_, reach| Ok(reach))))?.unwrap_or(usual))
    };
    let desktop = plain(table, DESKTOP, usual.desktop);
    let bell = plain(table, BELL, usual.bell);
    let terminal = plain(table, TERMINAL, usual.terminal);
    let sound = table.optional(SOUND, |field| field.table(|table| channel(table, sound)));
    let command = table.optional(COMMAND, |field| field.table(|table| channel(table, command_channel)));
    let post = table.optional(POST, |field| field.table(|table| channel(table, post)));
    let mqtt = table.optional(MQTT, |field| field.table(|table| channel(table, mqtt)));
    Ok(ChannelSettings {
        desktop: desktop?,
        bell: bell?,
        terminal: terminal?,
        sound: sound?.unwrap_or(usual.sound),
        command: command?.flatten(),
        post: post?.flatten(),
        mqtt: mqtt?.flatten(),
    })
}

/// One channel's table; `None` where it is off.
fn channel<'d, T>(
    table: &mut Table<'d>,
    read: impl FnOnce(&mut Table<'d>, Reach) -> Result<T, Reported>,
) -> Result<Option<T>, Reported> {
    let on = table.optional(ON, Field::truth);
    let after = reach_after(table);
    // What else there is of it is read all the same: it is not unknown for a slip in one line.
    let reach = Reach { after: after.as_ref().copied().unwrap_or_default() };
    let read = read(table, reach);
    let (read, _) = (read?, after?);
    Ok(on?.is_none_or(Spanned::into_inner).then_some(read))
}

fn sound(table: &mut Table<'_>, reach: Reach) -> Result<SoundSettings, Reported> {
    let player = table.optional(PLAYER, command);
    let percent = |field: Field<'_>| Ok(f64::from(field.whole(0..=100)?.into_inner()) / 100.0);
    let (softest, loudest) = (table.optional(SOFTEST, percent), table.optional(LOUDEST, percent));
    Ok(SoundSettings { reach, player: player?, softest: softest?.unwrap_or(0.15), loudest: loudest?.unwrap_or(1.0) })
}

fn command_channel(table: &mut Table<'_>, reach: Reach) -> Result<CommandSettings, Reported> {
    let run = table.required(RUN, command);
    let within = span(table, WITHIN);
    Ok(CommandSettings { reach, run: run?, within: within?.unwrap_or(Duration::from_secs(10)) })
}

fn post(table: &mut Table<'_>, reach: Reach) -> Result<PostSettings, Reported> {
    let url = table.required(URL, |field| field.parsed(web_address));
    let form = table.optional(AS, |field| field.choice(&[("json", PostForm::Json), ("text", PostForm::Text)]));
    let token = secret(table, TOKEN_FILE, TOKEN_ENV);
    Ok(PostSettings {
        reach,
        url: url?.into_inner(),
        form: form?.map_or(PostForm::Json, Spanned::into_inner),
        token: token?,
    })
}

fn web_address(text: &str) -> Result<String, Mistake> {
    let whole = text.strip_prefix("http://").or_else(|| text.strip_prefix("https://"));
    if whole.is_some_and(|rest| rest.split('/').next().is_some_and(|host| host.contains('@'))) {
        return Err(Mistake {
            what: "a name or password has no place in the address".to_owned(),
            remedy: format!("take it out, and give the secret by {TOKEN_FILE}"),
        });
    }
    match whole.filter(|rest| !rest.is_empty() && !text.contains(char::is_whitespace)) {
        Some(_) => Ok(text.to_owned()),
        None => Err(Mistake {
            what: "that is no web address".to_owned(),
            remedy: format!("write it whole, beginning with https:// or http://, as in {URL}"),
        }),
    }
}

fn mqtt(table: &mut Table<'_>, reach: Reach) -> Result<MqttSettings, Reported> {
    let topic = table.required(TOPIC, |field| field.parsed(plain_topic))?;
    Ok(MqttSettings { reach, topic: topic.into_inner() })
}

/// A topic to publish on: wildcards are for who listens (MQTT 3.1.1, 4.7.1).
fn plain_topic(text: &str) -> Result<String, Mistake> {
    if text.contains(['#', '+']) {
        let what = "a topic to publish on cannot hold the wildcards # or +".to_owned();
        return Err(Mistake { what, remedy: format!("name one topic, as in {TOPIC}") });
    }
    Ok(text.to_owned())
}

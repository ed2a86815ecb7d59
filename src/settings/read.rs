//! How `config.toml` is read.

use super::broker::broker;
use super::channels::channels;
use super::night::night;
use super::rules::{lead, quiet, stage_rule, usual};
use super::secret::Secret;
use super::source::{Origin, source};
use super::{Settings, SourceSettings};
use crate::bench::{AlarmRules, Place};
use crate::strict::{Field, Key, Problem, Read, Reported, Spanned, Table};
use jiff::SignedDuration;
use std::path::PathBuf;
use std::time::Duration;

const QUIET: Key = Key::new("quiet", "[quiet]");
const NIGHT: Key = Key::new("night", "[night]");
const STAGE: Key = Key::new("stage", "[[stage]]");
const CHANNEL: Key = Key::new("channel", "[channel.sound]");
const BROKER: Key = Key::new("broker", "[broker]");
const SOURCE: Key = Key::new("source", "[[source]]");
const STAY_AWAKE: Key = Key::new("stay_awake", "false");
const AFTER: Key = Key::new("after", "\"3m\"");

/// Reads settings; the problems are in the order of the file.
pub fn read_settings(source: &str) -> Result<Read<Settings>, Vec<Problem>> {
    crate::strict::read(source, settings)
}

fn settings(top: &mut Table<'_>) -> Result<Settings, Reported> {
    let lead = lead(top);
    let stay_awake = top.optional(STAY_AWAKE, Field::truth);
    let quiet = top.optional(QUIET, |field| field.table(quiet));
    let quiet_hours = quiet.as_ref().ok().copied().flatten();
    let night = top.optional(NIGHT, |field| field.table(|table| night(Some(table), quiet_hours)));
    let stages = top.optional(STAGE, |field| field.tables(stage_rule));
    let channels = top.optional(CHANNEL, |field| field.table(channels));
    let broker = top.optional(BROKER, |field| field.table(broker));
    let sources = top.optional(SOURCE, |field| field.tables(source));
    let (sources, channels, broker) = (sources?.unwrap_or_default(), channels?.unwrap_or_default(), broker?);
    if let Some(twice) =
        sources.iter().enumerate().find(|(i, source)| sources[..*i].iter().any(|s| s.name == source.name))
    {
        let what = format!("two sources are called '{}'", twice.1.name);
        return Err(top.report(Problem::new(
            top.span(),
            &what,
            None,
            "give one of them another name, such as \"shelf\"",
        )));
    }
    let by_topic = sources.iter().any(|source| matches!(source.origin, Origin::Topic(_)));
    if broker.is_none() && (by_topic || channels.mqtt.is_some()) {
        let what = "messages go by a broker, and nothing says where it is";
        return Err(top.missing_any(&[BROKER], what, "add [broker] with host = \"…\" below it"));
    }
    let rules = AlarmRules {
        lead: lead?.unwrap_or(usual().lead),
        quiet: quiet?,
        stages: stages?.unwrap_or_default(),
        silent_after: silent_after(&sources),
    };
    let night = match night? {
        Some(said) => said,
        None => super::night::night(None, rules.quiet)?,
    };
    Ok(Settings {
        rules,
        night,
        channels,
        broker,
        sources,
        stay_awake: stay_awake?.is_none_or(Spanned::into_inner),
        fingerprint: String::new(),
    })
}

/// After how long each place counts as silent: the most patient of its sources decides, for any of them is enough.
fn silent_after(sources: &[SourceSettings]) -> std::collections::BTreeMap<Place, SignedDuration> {
    let mut places = std::collections::BTreeMap::new();
    for source in sources {
        let after: &mut SignedDuration = places.entry(Place::of(&source.name)).or_default();
        *after = length(source.silent_after).max(*after);
    }
    places
}

/// What the strict reader lets through is ten years at most.
pub(super) fn length(duration: Duration) -> SignedDuration {
    SignedDuration::try_from(duration).unwrap_or(SignedDuration::MAX)
}

pub(super) fn span(table: &mut Table<'_>, key: Key) -> Result<Option<Duration>, Reported> {
    Ok(table.optional(key, Field::duration)?.map(Spanned::into_inner))
}

/// How long an alarm goes unanswered before a channel comes in.
pub(super) fn reach_after(table: &mut Table<'_>) -> Result<Duration, Reported> {
    Ok(span(table, AFTER)?.unwrap_or_default())
}

/// A command with its arguments, each as the program gets it: no shell reads them.
pub(super) fn command(field: Field<'_>) -> Result<Vec<String>, Reported> {
    Ok(field.texts()?.into_iter().map(String::from).collect())
}

/// A secret from one of two keys; a secret in the file itself is none.
pub(super) fn secret(table: &mut Table<'_>, file: Key, variable: Key) -> Result<Option<Secret>, Reported> {
    let kept = table.optional(file, Field::text);
    let named = table.optional(variable, Field::text);
    match (kept?, named?) {
        (Some(_), Some(named)) => Err(table.fault(
            named.span(),
            "the secret is named twice",
            &format!("keep {} or {}", file.name, variable.name),
        )),
        (Some(path), None) => Ok(Some(Secret::File(PathBuf::from(path.into_inner().as_str())))),
        (None, Some(name)) => Ok(Some(Secret::Variable(name.into_inner().to_string()))),
        (None, None) => Ok(None),
    }
}

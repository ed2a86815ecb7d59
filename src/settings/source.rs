//! Where readings come from.

use super::read::{command, span};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use crate::text::PlainText;
use std::path::PathBuf;
use std::time::Duration;

const NAME: Key = Key::new("name", "\"bench\"");
const FILE: Key = Key::new("file", "\"/sys/bus/w1/devices/28-0000075e4b1d/w1_slave\"");
const RUN: Key = Key::new("run", "[\"/home/me/bin/thermometer\"]");
const TOPIC: Key = Key::new("topic", "\"workshop/bench\"");
const AS: Key = Key::new("as", "\"one-wire\"");
const TEMPERATURE: Key = Key::new("temperature", "\"/temperature\"");
const HUMIDITY: Key = Key::new("humidity", "\"/humidity\"");
const EVERY: Key = Key::new("every", "\"1m\"");
const WITHIN: Key = Key::new("within", "\"10s\"");
const SILENT_AFTER: Key = Key::new("silent_after", "\"20m\"");
const LEAST: Key = Key::new("least_c", "-20");
const MOST: Key = Key::new("most_c", "60");
const FASTEST: Key = Key::new("fastest_c_per_min", "3");
const ADD: Key = Key::new("add_c", "-0.4");
const SMOOTH: Key = Key::new("smooth", "\"median of 3\"");

/// How a text holds its figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    /// A bare figure in °C; a humidity in percent may follow it.
    Plain,
    /// A whole number of thousandths of a degree, as Linux has it under hwmon and iio.
    Milli,
    /// The two lines of a 1-wire thermometer under Linux, with their check.
    OneWire,
    /// JSON, with pointers to the figures (RFC 6901).
    Json { temperature: String, humidity: Option<String> },
}

/// What is asked for a reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Origin {
    /// A file that another program, or the kernel, writes anew.
    File { path: PathBuf, every: Duration },
    /// What a command of the user's prints.
    Command { run: Vec<String>, every: Duration, within: Duration },
    /// What comes on a topic of the broker.
    Topic(String),
}

/// How readings are smoothed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Smooth {
    Not,
    /// The middle one of the last three: a single outlier leaves no trace.
    Median3,
}

/// What a reading has to be to be taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    pub least_c: f64,
    pub most_c: f64,
    /// Against the last one taken.
    pub fastest_c_per_min: f64,
    /// Added to every reading: what the thermometer is off.
    pub add_c: f64,
    pub smooth: Smooth,
}

impl Default for Gate {
    fn default() -> Self {
        Self { least_c: -30.0, most_c: 60.0, fastest_c_per_min: 3.0, add_c: 0.0, smooth: Smooth::Not }
    }
}

/// One source.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceSettings {
    pub name: PlainText,
    pub origin: Origin,
    pub form: Form,
    pub gate: Gate,
    /// Without a reading for so long it is silent.
    pub silent_after: Duration,
}

pub(super) fn source(table: &mut Table<'_>) -> Result<SourceSettings, Reported> {
    let name = table.required(NAME, Field::text);
    let origin = origin(table);
    let form = form(table);
    let gate = gate(table);
    let silent_after = span(table, SILENT_AFTER);
    let (origin, name) = (origin?, name?.into_inner());
    // A reading that hardly moves is written down now and then only, and a source that sleeps is not silent.
    let usual = match &origin {
        Origin::File { every, .. } | Origin::Command { every, .. } => (*every * 4).max(Duration::from_mins(20)),
        Origin::Topic(_) => Duration::from_mins(90),
    };
    let silent_after = silent_after?.unwrap_or(usual);
    let shortest = shortest_silence(&origin);
    if silent_after < shortest {
        let remedy = format!("write {} or more", crate::strict::typed_duration(shortest));
        let what = "'silent_after' is shorter than a source may be quiet: what hardly moves is written down every five minutes";
        return Err(table.fault(table.span(), what, &remedy));
    }
    Ok(SourceSettings { name, origin, form: form?, gate: gate?, silent_after })
}

/// An unchanged reading is written down every five minutes, and one may be missed.
fn shortest_silence(origin: &Origin) -> Duration {
    let written = Duration::from_mins(6);
    match origin {
        Origin::File { every, .. } | Origin::Command { every, .. } => written.max(*every * 2),
        Origin::Topic(_) => written,
    }
}

fn origin(table: &mut Table<'_>) -> Result<Origin, Reported> {
    let file = table.optional(FILE, |field| field.parsed(whole_path));
    let run = table.optional(RUN, command);
    let topic = table.optional(TOPIC, Field::text);
    let every = span(table, EVERY);
    let within = span(table, WITHIN);
    let every = every?.unwrap_or(Duration::from_mins(1)).max(Duration::from_secs(1));
    let within = within?.unwrap_or(Duration::from_secs(10));
    match (file?, run?, topic?) {
        (Some(path), None, None) => Ok(Origin::File { path: path.into_inner(), every }),
        (None, Some(run), None) => Ok(Origin::Command { run, every, within }),
        (None, None, Some(topic)) => Ok(Origin::Topic(topic.into_inner().to_string())),
        (None, None, None) => Err(table.missing_any(
            &[FILE, RUN, TOPIC],
            "nothing says where its readings come from",
            "give file, run or topic",
        )),
        _ => Err(table.fault(
            table.span(),
            "a source has one origin, and this one has more",
            "keep one of file, run and topic, and make another [[source]] of the other",
        )),
    }
}

/// A path that does not hang on where the program was started.
fn whole_path(text: &str) -> Result<PathBuf, Mistake> {
    let path = PathBuf::from(text);
    if path.is_absolute() {
        return Ok(path);
    }
    let what = "this is not a whole path".to_owned();
    Err(Mistake { what, remedy: format!("write it from the root on, as in {FILE}") })
}

#[derive(Clone, Copy)]
enum Named {
    Plain,
    Milli,
    OneWire,
    Json,
}

fn form(table: &mut Table<'_>) -> Result<Form, Reported> {
    let named =
        [("plain", Named::Plain), ("thousandths", Named::Milli), ("one-wire", Named::OneWire), ("json", Named::Json)];
    let named = table.optional(AS, |field| field.choice(&named));
    let temperature = table.optional(TEMPERATURE, |field| field.parsed(pointer));
    let humidity = table.optional(HUMIDITY, |field| field.parsed(pointer));
    let (temperature, humidity) = (temperature?, humidity?);
    match named?.map_or(Named::Plain, Spanned::into_inner) {
        Named::Json => match temperature {
            Some(temperature) => {
                Ok(Form::Json { temperature: temperature.into_inner(), humidity: humidity.map(Spanned::into_inner) })
            }
            None => Err(table.missing(TEMPERATURE)),
        },
        other => {
            table.unwanted(
                &[TEMPERATURE, HUMIDITY],
                "only as = \"json\" has pointers",
                "take it out, or write as = \"json\"",
            );
            Ok(match other {
                Named::Milli => Form::Milli,
                Named::OneWire => Form::OneWire,
                Named::Plain | Named::Json => Form::Plain,
            })
        }
    }
}

/// A JSON pointer: empty, or parts each behind a slash (RFC 6901).
fn pointer(text: &str) -> Result<String, Mistake> {
    if text.starts_with('/') {
        return Ok(text.to_owned());
    }
    let what = "a pointer into JSON begins with a slash".to_owned();
    Err(Mistake { what, remedy: format!("write \"/{}\"", text.replace('.', "/")) })
}

fn gate(table: &mut Table<'_>) -> Result<Gate, Reported> {
    let usual = Gate::default();
    let mut figure = |key| table.optional(key, Field::number);
    let (least, most, fastest, add) = (figure(LEAST), figure(MOST), figure(FASTEST), figure(ADD));
    let smooth =
        table.optional(SMOOTH, |field| field.choice(&[("none", Smooth::Not), ("median of 3", Smooth::Median3)]));
    let or = |read: Option<Spanned<f64>>, usual| read.map_or(usual, Spanned::into_inner);
    let gate = Gate {
        least_c: or(least?, usual.least_c),
        most_c: or(most?, usual.most_c),
        fastest_c_per_min: or(fastest?, usual.fastest_c_per_min),
        add_c: or(add?, usual.add_c),
        smooth: smooth?.map_or(usual.smooth, Spanned::into_inner),
    };
    if gate.least_c < gate.most_c && gate.fastest_c_per_min > 0.0 {
        return Ok(gate);
    }
    let what = "no reading could ever pass these limits";
    Err(table.fault(table.span(), what, "least_c must be below most_c, and fastest_c_per_min above 0"))
}

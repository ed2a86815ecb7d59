//! What `notebook --csv` prints. The columns are a promise: more may come before `words`, but none goes or changes.

use super::EntryFacts;
use crate::bench::{BatchId, Entry, EntryId, Log, Part, PieceId, Seen, Trust};
use crate::material::Stage;
use crate::pour::StepId;
use crate::text::PlainText;
use jiff::Timestamp;
use std::io::{self, Write};

const COLUMNS: [&str; 26] = [
    "entry",
    "happened",
    "written",
    "undone",
    "kind",
    "batch",
    "stage",
    "celsius",
    "humidity_percent",
    "source",
    "material",
    "label",
    "resin_g",
    "dose_percent",
    "depth_mm",
    "piece",
    "layer",
    "trial",
    "step",
    "level_mm",
    "after",
    "by",
    "within_h",
    "trust",
    "test",
    "words",
];

/// Prints `entries` under the names of the columns.
pub(super) fn print<'a>(
    entries: impl Iterator<Item = EntryFacts<'a>>,
    log: &Log,
    out: &mut impl Write,
) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(COLUMNS).map_err(of_the_stream)?;
    for entry in entries {
        csv.write_record(row(&entry, log)).map_err(of_the_stream)?;
    }
    csv.flush()
}

/// What the stream said: wrapped up in the other kind of error nobody would know a reader that has gone.
fn of_the_stream(error: csv::Error) -> io::Error {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error,
        other => io::Error::other(format!("{other:?}")),
    }
}

/// What one kind of entry or another has to tell; blank where it has nothing.
#[derive(Default)]
struct Cells<'a> {
    batch: Option<BatchId>,
    stage: Option<Stage>,
    celsius: Option<f64>,
    humidity: Option<f64>,
    source: &'a str,
    material: &'a str,
    label: &'a str,
    resin: Option<f64>,
    dose: Option<f64>,
    depth: Option<f64>,
    piece: Option<PieceId>,
    layer: Option<u32>,
    trial: bool,
    step: Option<StepId>,
    level: Option<f64>,
    /// Of a look: not there yet, and there; moments, or hours from first contact of what is remembered.
    after: String,
    by: String,
    within_h: Option<f64>,
    trust: &'a str,
    test: &'a str,
}

impl<'a> Cells<'a> {
    fn of(id: EntryId, entry: &'a Entry, log: &Log) -> Self {
        let blank = Self::default();
        match entry {
            Entry::Profile { material, .. } => Self { material: material.as_str(), ..blank },
            Entry::Mixed(mix) => Self {
                batch: log.number_of(id),
                material: mix.material.as_str(),
                label: mix.label.as_str(),
                resin: mix.resin.map(f64::from),
                dose: mix.dose.map(f64::from),
                depth: mix.depth.map(f64::from),
                piece: mix.part.and_then(Part::piece),
                layer: mix.part.and_then(Part::layer).map(|(_, layer)| layer),
                trial: mix.part.is_some_and(Part::is_trial),
                ..blank
            },
            Entry::Observed { batch, stage, seen, test, trust, within } => {
                let part = log.batch(*batch).and_then(|batch| batch.mix.part);
                let trial = part.is_some_and(Part::is_trial);
                let (after, by) = ends(*seen);
                let test = test.as_ref().map_or("", PlainText::as_str);
                let within_h = within.map(f64::from);
                let (batch, stage, trust) = (Some(*batch), Some(*stage), trust_word(*trust));
                Self { batch, stage, trial, after, by, within_h, trust, test, ..blank }
            }
            Entry::Recalled(recalled) => Self {
                stage: Some(recalled.stage),
                celsius: Some(recalled.celsius.get()),
                source: recalled.source.as_str(),
                material: recalled.material.as_str(),
                dose: recalled.dose_percent.map(f64::from),
                depth: recalled.depth_mm.map(f64::from),
                after: recalled.after_h.map(|hours| hours.get().to_string()).unwrap_or_default(),
                by: recalled.by_h.map(|hours| hours.get().to_string()).unwrap_or_default(),
                trust: trust_word(recalled.trust),
                test: recalled.test.as_ref().map_or("", PlainText::as_str),
                ..blank
            },
            Entry::Reading { celsius, humidity, source } => Self {
                celsius: Some(celsius.get()),
                humidity: humidity.map(f64::from),
                source: source.as_str(),
                ..blank
            },
            Entry::Adopted { batch, .. } | Entry::Done { batch } => Self { batch: Some(*batch), ..blank },
            Entry::Acknowledged { alarm }
            | Entry::Snoozed { alarm, .. }
            | Entry::Rang { alarm }
            | Entry::Moved { alarm, .. } => Self { batch: alarm.batch(), stage: alarm.stage(), ..blank },
            Entry::PieceStarted { name, .. } => Self { piece: log.piece_number_of(id), label: name.as_str(), ..blank },
            Entry::Ticked { piece, step } => Self { piece: Some(*piece), step: Some(*step), ..blank },
            Entry::Levelled { piece, level_mm } => Self { piece: Some(*piece), level: Some(level_mm.get()), ..blank },
            Entry::NightPlanned { piece, .. } | Entry::PieceDone { piece } => Self { piece: Some(*piece), ..blank },
            Entry::ClockSet { .. }
            | Entry::Slept { .. }
            | Entry::Tonight(_)
            | Entry::Bedtime { .. }
            | Entry::Undone { .. }
            | Entry::PassedOver { .. } => blank,
        }
    }
}

/// The moments at which a stage was looked for and not there, and there.
fn ends(seen: Seen) -> (String, String) {
    let (after, by) = match seen {
        Seen::At { at } => (Some(at), Some(at)),
        Seen::By { by } => (None, Some(by)),
        Seen::Between { after, by } => (Some(after), Some(by)),
        Seen::NotYet { at } => (Some(at), None),
    };
    let moment = |at: Option<Timestamp>| at.map(|at| at.to_string()).unwrap_or_default();
    (moment(after), moment(by))
}

fn trust_word(trust: Trust) -> &'static str {
    if trust.is_sure() { "sure" } else { "guess" }
}

/// In the order of [`COLUMNS`].
fn row(entry: &EntryFacts<'_>, log: &Log) -> [String; COLUMNS.len()] {
    let figure = |figure: Option<f64>| figure.map(|figure| figure.to_string()).unwrap_or_default();
    let cells = Cells::of(entry.entry, entry.what, log);
    [
        entry.entry.0.to_string(),
        entry.happened.clone(),
        entry.written.clone(),
        entry.undone.to_string(),
        entry.what.kind().to_owned(),
        cells.batch.map(|batch| batch.to_string()).unwrap_or_default(),
        cells.stage.map(|stage| stage.key().to_owned()).unwrap_or_default(),
        figure(cells.celsius),
        figure(cells.humidity),
        text(cells.source),
        text(cells.material),
        text(cells.label),
        figure(cells.resin),
        figure(cells.dose),
        figure(cells.depth),
        cells.piece.map(|piece| piece.to_string()).unwrap_or_default(),
        cells.layer.map(|layer| layer.to_string()).unwrap_or_default(),
        if cells.trial { "true".to_owned() } else { String::new() },
        cells.step.map(|step| step.to_string()).unwrap_or_default(),
        figure(cells.level),
        cells.after,
        cells.by,
        figure(cells.within_h),
        cells.trust.to_owned(),
        text(cells.test),
        text(&entry.words),
    ]
}

/// A text as a cell. A spreadsheet would take one that begins like a formula for a formula, and a label could make it
/// fetch or send something; behind an apostrophe it stays a text.
fn text(raw: &str) -> String {
    if raw.starts_with(['=', '+', '-', '@']) { format!("'{raw}") } else { raw.to_owned() }
}

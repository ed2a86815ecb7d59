//! What `notebook --csv` prints. The columns are a promise: more may come before `words`, but none goes or changes.

use super::EntryFacts;
use crate::bench::{BatchId, Entry, EntryId, Log, Part, PieceId};
use crate::material::Stage;
use crate::pour::StepId;
use std::io::{self, Write};

const COLUMNS: [&str; 21] = [
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
            Entry::Observed { batch, stage, .. } => {
                let part = log.batch(*batch).and_then(|batch| batch.mix.part);
                Self { batch: Some(*batch), stage: Some(*stage), trial: part.is_some_and(Part::is_trial), ..blank }
            }
            Entry::Reading { celsius, humidity, source } => Self {
                celsius: Some(celsius.get()),
                humidity: humidity.map(f64::from),
                source: source.as_str(),
                ..blank
            },
            Entry::Done { batch } => Self { batch: Some(*batch), ..blank },
            Entry::Acknowledged { alarm } | Entry::Snoozed { alarm, .. } => {
                Self { batch: Some(alarm.batch), stage: Some(alarm.stage), ..blank }
            }
            Entry::PieceStarted { name, .. } => Self { piece: log.piece_number_of(id), label: name.as_str(), ..blank },
            Entry::Ticked { piece, step } => Self { piece: Some(*piece), step: Some(*step), ..blank },
            Entry::Levelled { piece, level_mm } => Self { piece: Some(*piece), level: Some(level_mm.get()), ..blank },
            Entry::PieceDone { piece } => Self { piece: Some(*piece), ..blank },
            Entry::Undone { .. } | Entry::PassedOver { .. } => blank,
        }
    }
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
        text(&entry.words),
    ]
}

/// A text as a cell. A spreadsheet would take one that begins like a formula for a formula, and a label could make it
/// fetch or send something; behind an apostrophe it stays a text.
fn text(raw: &str) -> String {
    if raw.starts_with(['=', '+', '-', '@']) { format!("'{raw}") } else { raw.to_owned() }
}

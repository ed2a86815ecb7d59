//! The steps of a script that are about a piece.

use super::read::{CATALYST, Night, RESIN};
use crate::bench::{Command, NewPiece, NewPour, PieceId, Poured};
use crate::pour::{Sources, StepId, read_piece};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use crate::units::{Grams, Level};
use jiff::Timestamp;

const FILE: Key = Key::new("file", "\"column\"");
const PIECE: Key = Key::new("piece", "1");
const STEP: Key = Key::new("step", "\"dry-fit\"");
const LAYER: Key = Key::new("layer", "3");
const LEVEL: Key = Key::new("level_mm", "24.5");

/// The pieces the program carries with it.
const PIECES: [(&str, &str); 1] = [("column", include_str!("../../demo-data/column.toml"))];

pub(super) fn start(table: &mut Table<'_>, night: &Night, at: Timestamp) -> Result<Command, Reported> {
    let at = night.happened(table, at)?;
    let toml = table.required(FILE, |f| f.choice(&PIECES))?.into_inner();
    let no_meshes = |_: crate::pour::MeshAsk<'_>| {
        Err(Mistake { what: "a script has no meshes".to_owned(), remedy: "start another piece".to_owned() })
    };
    let read = table.required(FILE, |field| {
        read_piece(toml, Sources::with_meshes(&no_meshes))
            .map_err(|_| field.problem("that piece does not read", "mend its file"))
    })?;
    let piece = read.value;
    Ok(Command::Start(NewPiece {
        name: piece.name,
        material: piece.material,
        toml: toml.to_owned(),
        meshes: Vec::new(),
        at,
    }))
}

pub(super) fn tick(table: &mut Table<'_>) -> Result<Command, Reported> {
    let step = table.required(STEP, |f| f.parsed(step))?.into_inner();
    Ok(Command::Tick { piece: number(table)?, step })
}

pub(super) fn pour(table: &mut Table<'_>, night: &Night, at: Timestamp) -> Result<Command, Reported> {
    let at = night.happened(table, at)?;
    let mut grams = |key| table.optional(key, |f| f.quantity(Grams::new)).map(|grams| grams.map(Spanned::into_inner));
    let (weighed, catalyst) = (grams(RESIN)?, grams(CATALYST)?);
    let layer = table.optional(LAYER, Field::count)?.map(Spanned::into_inner);
    Ok(Command::Pour(NewPour { piece: number(table)?, layer, poured: Poured { weighed, catalyst, at } }))
}

pub(super) fn level(table: &mut Table<'_>, night: &Night, at: Timestamp) -> Result<Command, Reported> {
    let at = night.happened(table, at)?;
    let level_mm = table.required(LEVEL, |f| f.quantity(Level::new))?.into_inner();
    Ok(Command::Level { piece: number(table)?, level_mm, at })
}

/// The piece's number, where it is given.
pub(super) fn number(table: &mut Table<'_>) -> Result<Option<PieceId>, Reported> {
    Ok(table.optional(PIECE, Field::count)?.map(|number| PieceId(number.into_inner())))
}

fn step(text: &str) -> Result<StepId, Mistake> {
    text.parse().map_err(|error: crate::pour::BadStep| Mistake {
        what: "that is no step".to_owned(),
        remedy: error.to_string(),
    })
}

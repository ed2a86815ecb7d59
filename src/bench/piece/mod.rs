//! A piece on the bench: what was ticked, where its resin stands, what is poured next.

mod laid;
mod next;
mod standing;
mod state;

pub use laid::LaidLayer;
pub(super) use laid::laid;
pub(super) use next::reached_mm;
pub use next::{Poured, pour_words, pour_words_brief};
pub use standing::Standing;
pub use state::LayerState;

use super::entry::{EntryId, KeptMesh, PieceId};
use super::night::PlannedPour;
use crate::pour::{Monotone, Piece, Solid, Sources, StepId, read_piece};
use crate::strict::Mistake;
use crate::text::PlainText;
use jiff::Timestamp;
use std::sync::Arc;

/// A level as it was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Measured {
    pub entry: EntryId,
    pub at: Timestamp,
    pub level_mm: f64,
}

/// One piece as the notebook tells it.
#[derive(Debug, Clone)]
pub struct BenchPiece {
    pub id: PieceId,
    pub entry: EntryId,
    pub started: Timestamp,
    /// What is made; `None` when the notebook's copy could not be read.
    pub piece: Option<Arc<Piece>>,
    pub(super) ticked: Vec<(EntryId, StepId)>,
    pub(super) measured: Vec<Measured>,
    /// Pour times that were accepted, each with its entry; the last ones count.
    pub(super) nights: Vec<(EntryId, Vec<PlannedPour>)>,
    pub(super) done: Option<EntryId>,
    pub(super) undone: bool,
}

impl BenchPiece {
    /// A piece that has just been started with this text.
    pub(super) fn started(id: PieceId, entry: EntryId, started: Timestamp, toml: &str, meshes: &[KeptMesh]) -> Self {
        let piece = read_kept(toml, meshes).map(Arc::new);
        Self {
            id,
            entry,
            started,
            piece,
            ticked: Vec::new(),
            measured: Vec::new(),
            nights: Vec::new(),
            done: None,
            undone: false,
        }
    }

    /// Whether it is still on the bench.
    pub fn is_running(&self) -> bool {
        self.done.is_none() && !self.undone
    }

    pub fn name(&self) -> PlainText {
        self.piece.as_ref().map(|piece| piece.name.clone()).unwrap_or_default()
    }

    /// Whether `step` was ticked.
    pub fn is_ticked(&self, step: StepId) -> bool {
        self.ticked.iter().any(|(_, ticked)| *ticked == step)
    }

    /// The pour times that were accepted last; empty where none were.
    pub fn planned(&self) -> &[PlannedPour] {
        self.nights.last().map_or(&[], |(_, pours)| pours)
    }

    /// How layer `number` is to be poured, where that was accepted.
    pub fn planned_for(&self, number: u32) -> Option<&PlannedPour> {
        self.planned().iter().find(|pour| pour.layer == number)
    }

    /// Takes back what `entry` said of this piece.
    pub(super) fn undo(&mut self, entry: EntryId) {
        self.undone |= self.entry == entry;
        self.ticked.retain(|(ticked, _)| *ticked != entry);
        self.measured.retain(|measured| measured.entry != entry);
        self.nights.retain(|(told, _)| *told != entry);
        if self.done == Some(entry) {
            self.done = None;
        }
    }

    /// Whether `entry` said something of this piece that still holds.
    pub(super) fn holds(&self, entry: EntryId) -> bool {
        (self.entry == entry && !self.undone)
            || self.done == Some(entry)
            || self.ticked.iter().any(|(ticked, _)| *ticked == entry)
            || self.measured.iter().any(|measured| measured.entry == entry)
            || self.nights.iter().any(|(told, _)| *told == entry)
    }
}

/// Reads a piece as the notebook keeps it.
fn read_kept(toml: &str, meshes: &[KeptMesh]) -> Option<Piece> {
    let load = |ask: crate::pour::MeshAsk<'_>| {
        let kept = meshes.iter().find(|mesh| mesh.item == ask.item);
        let table = kept.and_then(|mesh| Monotone::through(&mesh.points).ok());
        table.map(|table| Solid::Table(Arc::new(table))).ok_or_else(|| Mistake {
            what: "the notebook keeps no such mesh".to_owned(),
            remedy: "start the piece again from its file".to_owned(),
        })
    };
    read_piece(toml, Sources::with_meshes(&load)).ok().map(|read| read.value)
}

#[cfg(test)]
mod tests;

//! A piece file as the commands take it: read, checked, its problems told with their places.

use super::problems::{Weight, tell};
use super::shared::{Desk, Failure};
use crate::folders::{BadFile, Shelf, Trouble, read_text};
use crate::material::{Catalogue, Item, MaterialId};
use crate::mesh_file::read_mesh_within;
use crate::pour::{MeshAsk, Piece, Solid, Sources, read_piece};
use crate::strict::{Mistake, Problem};
use crate::text::printable;
use std::path::Path;
use std::sync::Arc;

/// A piece that can be planned, with everything it stands on.
pub(super) struct PieceFile {
    pub piece: Piece,
    /// The text of the file.
    pub source: String,
    /// What is odd in it, as it was told.
    pub warnings: Vec<Problem>,
    pub catalogue: Catalogue,
}

impl PieceFile {
    /// Reads the file at `path` and the meshes it names; what is odd in it is told on standard error.
    pub fn read(path: &Path, desk: &Desk) -> Result<Self, Failure> {
        let file = printable(&path.to_string_lossy());
        let source = read_text(path).map_err(|trouble| Failure::NoPieceFile { file: file.clone(), trouble })?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let shelf = desk.shelf();
        let mesh = |ask: MeshAsk<'_>| load(folder, ask);
        let sources = Sources { material: &|typed| known(typed, &shelf), mesh: &mesh };
        match read_piece(&source, sources) {
            Ok(read) => {
                tell(&file, &source, &read.warnings, Weight::Warning);
                let catalogue = desk.catalogue_for(read.value.material.as_str())?;
                Ok(Self { piece: read.value, source, warnings: read.warnings, catalogue })
            }
            Err(problems) => {
                tell(&file, &source, &problems, Weight::Problem);
                Err(Failure::BadPiece { file, trouble: Trouble::Problems(problems) })
            }
        }
    }

    /// Its material.
    pub fn material(&self) -> Result<&Item, Failure> {
        Ok(self.catalogue.find(self.piece.material.as_str())?)
    }
}

/// The material somebody wrote. One of which the user's own file is bad is let through: of that there is more to say.
fn known(typed: &str, shelf: &Shelf) -> Result<MaterialId, Mistake> {
    let id = match shelf.bad_file_of(typed).and_then(BadFile::material) {
        Some(id) => Ok(id),
        None => shelf.catalogue.find(typed).map(|item| item.profile.id.clone()),
    };
    id.map_err(|unknown| Mistake { what: "there is no such material".to_owned(), remedy: unknown.to_string() })
}

/// A mesh beside the piece file.
fn load(folder: &Path, ask: MeshAsk<'_>) -> Result<Solid, Mistake> {
    let mesh = read_mesh_within(folder, ask.file, ask.scale)
        .map_err(|trouble| Mistake { what: trouble.to_string(), remedy: trouble.remedy().to_owned() })?;
    Ok(Solid::Mesh(Arc::new(mesh)))
}

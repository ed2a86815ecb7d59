//! Why a mesh could not be had from a file, and what to do about it.

use super::{LARGEST_BYTES, bytes_of};
use crate::pour::MeshFault;
use crate::text::printable;
use std::io;
use std::path::Path;

/// Why a mesh could not be had from a file. Every text in it is safe to show.
#[derive(Debug, thiserror::Error)]
pub enum MeshTrouble {
    #[error("'{path}' cannot be read ({source})")]
    Unreadable { path: String, source: io::Error },
    #[error("'{path}' is no ordinary file")]
    NoFile { path: String },
    #[error("'{path}' leads out of the folder of the piece file")]
    Outside { path: String },
    #[error("it is larger than {} MB", LARGEST_BYTES / 1_000_000)]
    TooLarge,
    #[error("it is no STL file")]
    NotStl,
    /// The count of a binary file does not go with its length.
    #[error(
        "it is a damaged STL file: the {counted} triangles it counts take {} bytes, but it has {bytes}",
        bytes_of(*counted)
    )]
    Count { counted: u32, bytes: usize },
    #[error("it is a damaged STL file: triangle {triangle} cannot be read")]
    Damaged { triangle: usize },
    /// Of a text file.
    #[error("it is a damaged STL file: 'solid' and 'endsolid' do not take turns to its end")]
    Ends,
    #[error(transparent)]
    Fault(#[from] MeshFault),
}

impl MeshTrouble {
    pub(super) fn unreadable(path: &Path, source: io::Error) -> Self {
        Self::Unreadable { path: shown(path), source }
    }

    pub(super) fn no_file(path: &Path) -> Self {
        Self::NoFile { path: shown(path) }
    }

    pub(super) fn outside(path: &Path) -> Self {
        Self::Outside { path: shown(path) }
    }

    /// What to do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            MeshTrouble::Unreadable { .. } => {
                "check where the file lies, how its name is spelt, and that you may read it"
            }
            MeshTrouble::NoFile { .. } => "give the path of an STL file",
            MeshTrouble::Outside { .. } => "put the mesh itself beside the piece file, not a link to another place",
            MeshTrouble::TooLarge => "export it with fewer triangles; a hundred thousand are plenty",
            MeshTrouble::NotStl => "export the mesh as STL, binary or text",
            MeshTrouble::Count { .. } | MeshTrouble::Damaged { .. } | MeshTrouble::Ends => "copy or export it anew",
            MeshTrouble::Fault(fault) => fault.remedy(),
        }
    }
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

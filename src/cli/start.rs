//! `nightpour start`: put a piece on the bench.

use super::piece_file::PieceFile;
use super::shared::{Desk, Failure};
use crate::bench::{Command, KeptMesh, NewPiece};
use crate::pour::{Piece, Solid};
use clap::Args;
use std::io::Write;
use std::path::PathBuf;

/// Put a piece on the bench: its layers, steps and weights appear on the screen
#[derive(Debug, Args)]
pub struct StartArgs {
    /// The piece file
    piece: PathBuf,

    /// When it was put there, if not now: 23:40, '20m ago'
    #[arg(long, value_name = "TIME")]
    at: Option<String>,
}

pub(super) fn run(args: &StartArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let file = PieceFile::read(&args.piece, desk)?;
    let at = desk.time(args.at.as_deref())?;
    let new = NewPiece {
        name: file.piece.name.clone(),
        material: file.piece.material.clone(),
        meshes: kept_meshes(&file.piece),
        toml: file.source,
        at,
    };
    let written = desk.write(&file.catalogue, |_| Ok(Command::Start(new)))?;
    written.tell(&desk.zone, out)?;
    if let Some(piece) = written.log.pieces().last() {
        writeln!(out, "it is piece {}; 'nightpour' shows it, 'nightpour pour' pours its next layer", piece.id)?;
    }
    Ok(())
}

/// What the meshes displace: the files may change or go while the piece is on the bench.
fn kept_meshes(piece: &Piece) -> Vec<KeptMesh> {
    let tables = piece.items.iter().enumerate().filter_map(|(item, of)| match &of.solid {
        Solid::Mesh(mesh) => Some(KeptMesh { item, points: mesh.table().points().collect() }),
        Solid::Even { .. } | Solid::Table(_) => None,
    });
    tables.collect()
}

//! `nightpour profiles`: the materials at hand, their figures, and the user's own files.

mod check;
mod copy;
mod json;
mod list;
mod show;

use super::Finish;
use super::problems::Drawing;
use crate::folders::{BadFile, Folders, Shelf, shelf};
use crate::material::UnknownMaterial;
use clap::{Args, Subcommand};
use std::io::{self, Write};
use std::path::PathBuf;

/// The materials at hand and their figures
#[derive(Debug, Args)]
pub struct ProfilesArgs {
    #[command(subcommand)]
    action: Option<Action>,
    /// Print JSON, with units in the key names
    #[arg(long, global = true)]
    json: bool,
}

#[derive(Debug, Subcommand)]
enum Action {
    /// List all materials (this is what 'profiles' alone does)
    List,
    /// Show every figure of one material, and where it comes from
    Show { material: String },
    /// Check profile files; without FILE, all of yours and the built-in ones
    Check { files: Vec<PathBuf> },
    /// Copy a built-in profile into your own folder, to put your label's figures in
    Copy { material: String },
}

/// Why `profiles` could not do its work.
#[derive(Debug, thiserror::Error)]
pub enum ProfilesError {
    #[error("{0}")]
    Unknown(#[from] UnknownMaterial),
    #[error("'{0}' is there already and stays as it is; edit it, or move it away first")]
    Exists(String),
    #[error("'{path}' cannot be written ({source})")]
    Write { path: String, source: io::Error },
    #[error("the output cannot be written ({0})")]
    Out(#[from] io::Error),
}

/// Does what `args` ask for, with the files in `folders`, and prints to `out`.
pub fn run(
    args: &ProfilesArgs,
    folders: &Folders,
    drawing: Drawing,
    out: &mut impl Write,
) -> Result<Finish, ProfilesError> {
    let on_shelf = || shelf(&folders.profiles());
    match args.action.as_ref().unwrap_or(&Action::List) {
        Action::List => list::run(&on_shelf(), args.json, out)?,
        Action::Show { material } => show::run(&on_shelf(), material, args.json, out)?,
        Action::Check { files } => return Ok(check::run(files, folders, args.json, drawing, out)?),
        Action::Copy { material } => copy::run(material, folders, args.json, out)?,
    }
    Ok(Finish::Fine)
}

/// What is used in place of each bad file, if anything.
fn stand_in(shelf: &Shelf, bad: &BadFile) -> &'static str {
    let built_in = bad.material().is_some_and(|id| shelf.catalogue.get(&id).is_some());
    if built_in { "the built-in profile is used" } else { "the material is left out" }
}

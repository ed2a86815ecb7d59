//! `profiles check`

use super::json::{CheckJson, CheckedJson};
use crate::cli::Finish;
use crate::cli::json::print_json;
use crate::cli::problems::{Drawing, Weight, render};
use crate::folders::{Folders, Trouble, material_of, profile_files, read_text};
use crate::material::{Catalogue, read_profile};
use crate::strict::Problem;
use crate::text::printable;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

/// One file after checking.
pub(super) struct Checked {
    /// The path, printable, or the words for a built-in profile.
    pub file: String,
    pub source: String,
    pub outcome: Result<Vec<Problem>, Trouble>,
}

/// Checks `files`, or everything there is. The finish tells whether all is well.
pub(super) fn run(
    files: &[PathBuf],
    folders: &Folders,
    json: bool,
    drawing: Drawing,
    out: &mut impl Write,
) -> io::Result<Finish> {
    let checked = if files.is_empty() { everything(folders) } else { files.iter().map(|path| check(path)).collect() };
    let bad = checked.iter().filter(|checked| checked.outcome.is_err()).count();
    if json {
        let files = checked.iter().map(CheckedJson::new).collect();
        print_json(&CheckJson { files, bad_files: bad }, out)?;
    } else {
        for checked in &checked {
            print(checked, drawing, out)?;
        }
        match bad {
            0 => writeln!(out, "{} checked, nothing wrong", files_word(checked.len()))?,
            bad => writeln!(out, "{} checked, {bad} with problems", files_word(checked.len()))?,
        }
    }
    Ok(if bad == 0 { Finish::Fine } else { Finish::Problems })
}

fn files_word(count: usize) -> String {
    if count == 1 { "1 file".to_owned() } else { format!("{count} files") }
}

/// The user's own files, and the built-in profiles as a check of the program itself.
fn everything(folders: &Folders) -> Vec<Checked> {
    let folder = folders.profiles();
    let mut all = match profile_files(&folder) {
        Ok(paths) => paths.iter().map(|path| check(path)).collect(),
        Err(error) => vec![Checked { file: shown(&folder), source: String::new(), outcome: Err(error.into()) }],
    };
    all.extend(Catalogue::embedded().iter().map(|item| {
        let outcome = read_profile(item.profile.id.clone(), &item.source);
        judged(format!("built-in {}", item.profile.id), item.source.clone().into_owned(), outcome.map(|r| r.warnings))
    }));
    all
}

fn check(path: &Path) -> Checked {
    let file = shown(path);
    match material_of(path).map_err(Trouble::from).and_then(|id| Ok((id, read_text(path)?))) {
        Ok((id, source)) => {
            let outcome = read_profile(id, &source).map(|read| read.warnings);
            judged(file, source, outcome)
        }
        Err(trouble) => Checked { file, source: String::new(), outcome: Err(trouble) },
    }
}

fn judged(file: String, source: String, outcome: Result<Vec<Problem>, Vec<Problem>>) -> Checked {
    Checked { file, source, outcome: outcome.map_err(Trouble::Problems) }
}

fn print(checked: &Checked, drawing: Drawing, out: &mut impl Write) -> io::Result<()> {
    let Checked { file, source, outcome } = checked;
    match outcome {
        Ok(warnings) if warnings.is_empty() => writeln!(out, "{file}: fine"),
        Ok(warnings) => write!(out, "{}", render(file, source, warnings, Weight::Warning, drawing)),
        Err(Trouble::Problems(problems)) => {
            write!(out, "{}", render(file, source, problems, Weight::Problem, drawing))
        }
        Err(trouble) => writeln!(out, "{file}: {trouble}"),
    }
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

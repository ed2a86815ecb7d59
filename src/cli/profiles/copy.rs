//! `profiles copy`

use super::ProfilesError;
use crate::cli::json::print_json;
use crate::cli::whole_file::whole_file;
use crate::folders::Folders;
use crate::material::Catalogue;
use crate::text::printable;
use std::io::{self, Write};
use std::path::Path;

pub(super) fn run(material: &str, folders: &Folders, json: bool, out: &mut impl Write) -> Result<(), ProfilesError> {
    let embedded = Catalogue::embedded();
    let item = embedded.find(material)?;
    let id = item.profile.id.as_str();
    let path = folders.profiles().join(format!("{id}.toml"));
    let shown = printable(&path.to_string_lossy());
    write_new(&path, &item.source).map_err(|source| match source.kind() {
        io::ErrorKind::AlreadyExists => ProfilesError::Exists(shown.clone()),
        _ => ProfilesError::Write { path: shown.clone(), source },
    })?;
    if json {
        print_json(&serde_json::json!({ "material": id, "file": shown }), out)?;
    } else {
        writeln!(out, "{shown}\nis yours now and is used in place of the built-in profile. Put your label's")?;
        writeln!(out, "figures in, each as {{ value = …, from = \"label\" }}, then run")?;
        writeln!(out, "'nightpour profiles check'.")?;
    }
    Ok(())
}

/// Writes a whole file or none, and never over another.
fn write_new(path: &Path, text: &str) -> io::Result<()> {
    let folder = path.parent().unwrap_or(Path::new("."));
    std::fs::create_dir_all(folder)?;
    whole_file(folder, text)?.persist_noclobber(path).map_err(|error| error.error)?;
    Ok(())
}

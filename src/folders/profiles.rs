//! The user's own profiles, on top of the embedded ones.

use crate::material::{BadMaterialId, Catalogue, MaterialId};
use crate::strict::Problem;
use crate::text::printable;
use std::io::{self, Read};
use std::path::{Path, PathBuf};

/// No profile is larger; whatever is, is another kind of file.
const LARGEST_BYTES: u64 = 64 * 1024;

/// The catalogue with the user's own files in it, and those of them that could not be used.
#[derive(Debug)]
pub struct Shelf {
    pub catalogue: Catalogue,
    /// The embedded material of the same name is used in place of each, if there is one.
    pub bad: Vec<BadFile>,
}

impl Shelf {
    /// The file of the user's that is about the material somebody typed and could not be used.
    pub fn bad_file_of(&self, typed: &str) -> Option<&BadFile> {
        let meant = MaterialId::meant(typed).ok()?;
        self.bad.iter().find(|bad| bad.material().as_ref() == Some(&meant))
    }
}

/// A file of the user's that could not be used.
#[derive(Debug)]
pub struct BadFile {
    /// Printable.
    pub path: String,
    pub trouble: Trouble,
}

impl BadFile {
    /// The material it is meant for, also where its name is not written quite as it should be.
    pub fn material(&self) -> Option<MaterialId> {
        MaterialId::meant(&Path::new(&self.path).file_stem()?.to_string_lossy()).ok()
    }

    /// One short line about it.
    pub fn words(&self) -> String {
        let name = Path::new(&self.path).file_name().unwrap_or_default().to_string_lossy();
        format!("your '{name}' is not used: see 'nightpour profiles check'")
    }
}

/// Why a file could not be used.
#[derive(Debug, thiserror::Error)]
pub enum Trouble {
    #[error("{0}")]
    Name(#[from] BadMaterialId),
    #[error("it cannot be read ({0})")]
    Io(#[from] io::Error),
    #[error("it is no ordinary file")]
    NoFile,
    #[error("it is larger than {} KiB, so it is no file of ours", LARGEST_BYTES / 1024)]
    TooLarge,
    #[error("it is not UTF-8 text; the first odd byte is number {}", .0 + 1)]
    NotText(usize),
    #[error("it has {}", count(.0))]
    Problems(Vec<Problem>),
}

fn count(problems: &[Problem]) -> String {
    match problems.len() {
        1 => "1 problem".to_owned(),
        more => format!("{more} problems"),
    }
}

/// The embedded materials with those of `folder` on top. A bad file is set aside and told of; nothing else stops.
pub fn shelf(folder: &Path) -> Shelf {
    let mut catalogue = Catalogue::embedded();
    let mut bad = Vec::new();
    let mut set_aside = |path: &Path, trouble| bad.push(BadFile { path: shown(path), trouble });
    match profile_files(folder) {
        Ok(paths) => {
            for path in paths {
                if let Err(trouble) = put(&mut catalogue, &path) {
                    set_aside(&path, trouble);
                }
            }
        }
        Err(error) => set_aside(folder, error.into()),
    }
    Shelf { catalogue, bad }
}

fn put(catalogue: &mut Catalogue, path: &Path) -> Result<(), Trouble> {
    let id = material_of(path)?;
    catalogue.put_file(id, &shown(path), read_text(path)?).map(drop).map_err(Trouble::Problems)
}

/// The profile files of `folder`, sorted; none where there is no such folder.
pub fn profile_files(folder: &Path) -> io::Result<Vec<PathBuf>> {
    let entries = match std::fs::read_dir(folder) {
        Ok(entries) => entries,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Vec::new()),
        Err(error) => return Err(error),
    };
    let mut paths = entries.map(|entry| entry.map(|entry| entry.path())).collect::<io::Result<Vec<_>>>()?;
    paths.retain(|path| path.extension().is_some_and(|extension| extension == "toml"));
    paths.sort();
    Ok(paths)
}

/// The material a profile file is about: its name without the ending.
pub fn material_of(path: &Path) -> Result<MaterialId, BadMaterialId> {
    MaterialId::new(&path.file_stem().unwrap_or_default().to_string_lossy())
}

/// The text of an ordinary file of at most 64 KiB.
pub fn read_text(path: &Path) -> Result<String, Trouble> {
    // Asked before opening: opening a pipe would wait for somebody to write into it.
    if !std::fs::metadata(path)?.is_file() {
        return Err(Trouble::NoFile);
    }
    let mut bytes = Vec::new();
    std::fs::File::open(path)?.take(LARGEST_BYTES + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LARGEST_BYTES {
        return Err(Trouble::TooLarge);
    }
    String::from_utf8(bytes).map_err(|error| Trouble::NotText(error.utf8_error().valid_up_to()))
}

fn shown(path: &Path) -> String {
    printable(&path.to_string_lossy())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Origin;

    fn trouble_with(name: &str, content: &[u8]) -> String {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join(name), content).unwrap();
        let shelf = shelf(folder.path());
        assert_eq!(shelf.catalogue, Catalogue::embedded(), "a bad file leaves the embedded materials alone");
        assert_eq!(shelf.bad.len(), 1);
        shelf.bad[0].trouble.to_string()
    }

    #[test]
    fn a_bad_file_is_set_aside_with_its_reason() {
        assert_eq!(trouble_with("uv-resin.toml", b"name = 3"), "it has 7 problems");
        assert_eq!(
            trouble_with("uv-resin.toml", b"name = \"\xff\""),
            "it is not UTF-8 text; the first odd byte is number 9"
        );
        assert!(trouble_with("My Resin.toml", b"").contains("'My Resin' cannot name a material"));
        assert!(trouble_with("big.toml", &b" ".repeat(70_000)).contains("larger than 64 KiB"));
    }

    #[test]
    fn a_bad_file_is_known_by_the_material_it_is_meant_for() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("UV_Resin.toml"), "").unwrap();
        let shelf = shelf(folder.path());
        assert!(shelf.bad_file_of("uv resin").is_some() && shelf.bad_file_of("clear-polyester").is_none());
        assert_eq!(shelf.bad[0].words(), "your 'UV_Resin.toml' is not used: see 'nightpour profiles check'");
    }

    #[test]
    fn a_folder_named_like_a_profile_is_no_file() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir(folder.path().join("uv-resin.toml")).unwrap();
        assert!(matches!(shelf(folder.path()).bad[0].trouble, Trouble::NoFile));
    }

    #[test]
    fn a_good_file_wins_and_other_files_are_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let id = MaterialId::new("uv-resin").unwrap();
        let built_in = Catalogue::embedded().get(&id).unwrap().source.clone();
        std::fs::write(folder.path().join("uv-resin.toml"), built_in.as_bytes()).unwrap();
        std::fs::write(folder.path().join("notes.txt"), "buy resin").unwrap();
        let shelf = shelf(folder.path());
        assert!(shelf.bad.is_empty());
        assert!(matches!(shelf.catalogue.get(&id).unwrap().origin, Origin::File(_)));
    }

    #[test]
    fn no_folder_is_no_trouble() {
        assert!(shelf(Path::new("/nowhere/at/all")).bad.is_empty());
    }
}

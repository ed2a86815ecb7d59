//! Which mesh files a piece may name: those beside it or in folders below, and no others of the disk.

use crate::strict::Mistake;

/// Refuses what leads out of the piece's own folder or is no STL file.
pub(super) fn checked(file: &str) -> Result<(), Mistake> {
    let mistake = |what: &str, remedy: &str| Err(Mistake { what: what.to_owned(), remedy: remedy.to_owned() });
    let beside = "put the mesh beside the piece file and write its name, as in mesh = \"shell.stl\"";
    if file.contains(['\\', ':']) {
        return mistake(
            "'mesh' is no plain path",
            "write / between folders and no drive, as in mesh = \"meshes/shell.stl\"",
        );
    }
    if file.starts_with(['/', '~']) {
        return mistake("'mesh' must be a path from the piece file on", beside);
    }
    if file.split('/').any(|part| part == "..") {
        return mistake("'mesh' leads out of the folder of the piece file", beside);
    }
    let stem = file.len().checked_sub(".stl".len()).and_then(|end| file.split_at_checked(end));
    match stem {
        Some((stem, ending)) if ending.eq_ignore_ascii_case(".stl") && !stem.is_empty() && !stem.ends_with('/') => {
            Ok(())
        }
        _ => mistake("'mesh' is no STL file", "save the mesh as STL, and write its name with .stl at the end"),
    }
}

#[cfg(test)]
mod tests {
    use super::checked;

    #[test]
    fn only_stl_files_beside_the_piece_or_below_are_let_through() {
        for good in ["shell.stl", "my meshes/Shell 2.STL", "./shell.stl", "a..b.stl", "größe.stl"] {
            assert_eq!(checked(good), Ok(()), "{good}");
        }
        for bad in [
            "/etc/shell.stl",
            "~/shell.stl",
            "../shell.stl",
            "a/../../shell.stl",
            "C:\\shell.stl",
            "c:shell.stl",
            "..\\shell.stl",
            "shell.obj",
            ".stl",
            "meshes/.stl",
            "stl",
            "é",
            "",
        ] {
            assert!(checked(bad).is_err(), "{bad}");
        }
    }
}

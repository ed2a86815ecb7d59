//! STL as text, made plain for a strict reader.

use super::MeshTrouble;

/// A line of a text file has three numbers at most, or a name.
const LONGEST_LINE: usize = 400;

/// All triangles of all solids in `bytes` as one solid without a name, in lower case: names may be in any script, and the
/// words in capitals. A solid that does not end tells of a file cut off.
pub(super) fn plain(bytes: &[u8]) -> Result<Vec<u8>, MeshTrouble> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let mut plain = b"solid all\n".to_vec();
    let (mut inside, mut solids) = (false, 0);
    for line in bytes.split(|byte| *byte == b'\n').map(<[u8]>::trim_ascii).filter(|line| !line.is_empty()) {
        let word = line.split(u8::is_ascii_whitespace).next().unwrap_or_default();
        if line.len() > LONGEST_LINE {
            return Err(MeshTrouble::NotStl);
        }
        let begins = word.eq_ignore_ascii_case(b"solid");
        if begins == inside {
            return Err(if solids == 0 { MeshTrouble::NotStl } else { MeshTrouble::Ends });
        }
        if begins {
            (inside, solids) = (true, solids + 1);
        } else if word.eq_ignore_ascii_case(b"endsolid") {
            inside = false;
        } else {
            plain.extend(line.to_ascii_lowercase());
            plain.push(b'\n');
        }
    }
    if solids == 0 {
        return Err(MeshTrouble::NotStl);
    }
    if inside {
        return Err(MeshTrouble::Ends);
    }
    plain.extend(b"endsolid\n");
    Ok(plain)
}

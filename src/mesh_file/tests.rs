use super::*;
use crate::pour::MeshFault;
use std::fmt::Write;

/// A tetrahedron with three edges of 30 along the axes: 4.5 mL.
const TETRAHEDRON: [[[f32; 3]; 3]; 4] = {
    let (o, x, y, z) = ([0.0; 3], [30.0, 0.0, 0.0], [0.0, 30.0, 0.0], [0.0, 0.0, 30.0]);
    [[o, y, x], [o, x, z], [x, y, z], [y, o, z]]
};

fn binary(header: &[u8], triangles: &[[[f32; 3]; 3]]) -> Vec<u8> {
    let mut bytes = header.to_vec();
    bytes.resize(HEADER, b' ');
    bytes.extend(u32::try_from(triangles.len()).unwrap().to_le_bytes());
    for triangle in triangles {
        bytes.extend([0; 12]);
        triangle.iter().flatten().for_each(|coordinate| bytes.extend(coordinate.to_le_bytes()));
        bytes.extend([0; 2]);
    }
    bytes
}

fn text(name: &str, triangles: &[[[f32; 3]; 3]]) -> String {
    let mut text = format!("solid {name}\n");
    for triangle in triangles {
        text += "facet normal 0 0 0\n outer loop\n";
        for [x, y, z] in triangle {
            writeln!(text, "  vertex {x:e} {y} {z}").unwrap();
        }
        text += " endloop\nendfacet\n";
    }
    text + "endsolid " + name + "\n"
}

fn read(content: impl AsRef<[u8]>) -> Result<Mesh, MeshTrouble> {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("shell.stl");
    std::fs::write(&path, content).unwrap();
    read_mesh(&path, 1.0)
}

#[track_caller]
fn is_tetrahedron(content: impl AsRef<[u8]>) {
    let mesh = read(content).unwrap();
    assert!((mesh.volume_ml() - 4.5).abs() < 1e-12, "{}", mesh.volume_ml());
}

#[track_caller]
fn refused(content: impl AsRef<[u8]>) -> String {
    let trouble = read(content).unwrap_err();
    assert!(!trouble.remedy().is_empty());
    trouble.to_string()
}

#[test]
fn binary_and_text_are_read() {
    is_tetrahedron(binary(b"exported for the pond", &TETRAHEDRON));
    is_tetrahedron(text("shell", &TETRAHEDRON));
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("inches.stl");
    std::fs::write(&path, binary(b"", &TETRAHEDRON)).unwrap();
    let inches = read_mesh(&path, 25.4).unwrap();
    assert!((inches.volume_ml() - 4.5 * 25.4f64.powi(3)).abs() < 1e-6);
}

#[test]
fn a_binary_file_may_call_itself_solid() {
    is_tetrahedron(binary(b"solid shell", &TETRAHEDRON));
    is_tetrahedron(binary(b"solid shell\nfacet normal 0 0 0", &TETRAHEDRON));
}

#[test]
fn text_is_read_as_programs_write_it() {
    let plain = text("shell", &TETRAHEDRON);
    is_tetrahedron(text("", &TETRAHEDRON).replace("solid \n", "solid\n"));
    is_tetrahedron(plain.replace('\n', "\r\n"));
    is_tetrahedron(plain.to_uppercase());
    is_tetrahedron(plain.replace("endfacet", "endfacet\n\n"));
    is_tetrahedron([b"\xef\xbb\xbf  ", plain.as_bytes()].concat());
    let latin_1: Vec<u8> = text("m!schel", &TETRAHEDRON).bytes().map(|b| if b == b'!' { 0xfc } else { b }).collect();
    is_tetrahedron(latin_1);
}

#[test]
fn all_solids_of_a_text_file_are_read() {
    let far = TETRAHEDRON.map(|triangle| triangle.map(|[x, y, z]| [x + 100.0, y, z]));
    let mesh = read(text("one", &TETRAHEDRON) + &text("two", &far)).unwrap();
    assert!((mesh.volume_ml() - 9.0).abs() < 1e-12);
}

#[test]
fn a_count_that_the_file_cannot_hold_is_refused_before_anything_is_made_of_it() {
    let mut huge = binary(b"", &TETRAHEDRON);
    huge[HEADER..COUNTED].fill(0xff);
    huge[0] = 0;
    assert_eq!(
        refused(&huge),
        "it is a damaged STL file: the 4294967295 triangles it counts take 214748364834 bytes, but it has 284"
    );
    let whole = binary(b"", &TETRAHEDRON);
    let damaged = "it is a damaged STL file: the 4 triangles it counts take 284 bytes, but it has ";
    assert_eq!(refused(&whole[..283]), format!("{damaged}283"));
    assert_eq!(refused([&whole[..], b"more"].concat()), format!("{damaged}288"));
    assert_eq!(refused(binary(b"", &[])), "it has no triangles");
}

#[test]
fn text_that_breaks_off_is_refused() {
    let whole = text("shell", &TETRAHEDRON);
    for cut in (1..whole.len() - "endsolid shell\n".len()).step_by(7) {
        let words = refused(&whole[..cut]);
        assert!(words.contains("STL file"), "{cut}: {words}");
    }
    let without_a_line = whole.replacen(" outer loop\n", "", 1);
    assert_eq!(refused(without_a_line), "it is a damaged STL file: triangle 1 cannot be read");
    assert_eq!(refused(whole.replace("vertex", "corner")), "it is a damaged STL file: triangle 1 cannot be read");
    let ends = "it is a damaged STL file: 'solid' and 'endsolid' do not take turns to its end";
    assert_eq!(refused(whole.clone() + "facet"), ends);
    assert_eq!(refused(whole.replacen("facet", "solid\nfacet", 1)), ends);
}

#[test]
fn what_is_no_stl_is_refused() {
    let no_stl = "it is no STL file";
    assert_eq!(refused(""), no_stl);
    assert_eq!(refused("seedheads, 3 of them\n"), no_stl);
    assert_eq!(refused("resin ".repeat(1000)), no_stl);
    assert_eq!(refused("solid ".repeat(100_000)), no_stl, "a line that long would be taken apart word by word");
    assert_eq!(refused("solid a\n".to_owned() + &"vertex ".repeat(100_000)), no_stl);
}

#[test]
fn figures_that_are_none_are_refused() {
    let mut odd = TETRAHEDRON;
    odd[2][1][0] = f32::NAN;
    assert_eq!(refused(binary(b"", &odd)), "a corner is not a finite number (triangle 3)");
    assert_eq!(refused(text("shell", &odd)), "it is a damaged STL file: triangle 3 cannot be read");
    assert_eq!(
        refused(text("shell", &TETRAHEDRON).replacen("3e1", "1e99", 1)),
        "it is a damaged STL file: triangle 1 cannot be read"
    );
}

#[test]
fn a_mesh_that_is_no_body_says_why() {
    let trouble = read(binary(b"", &TETRAHEDRON[..3])).unwrap_err();
    assert!(matches!(trouble, MeshTrouble::Fault(MeshFault::Open { count: 3, .. })), "{trouble}");
    assert_eq!(trouble.remedy(), "close the gaps in the program it was drawn with, and export it anew");
}

#[test]
fn what_is_no_file_is_told_with_its_path() {
    let folder = tempfile::tempdir().unwrap();
    let words = |path: &Path| read_mesh(path, 1.0).unwrap_err().to_string();
    assert_eq!(words(folder.path()), format!("'{}' is no ordinary file", folder.path().display()));
    let absent = words(&folder.path().join("ab\u{202e}sent.stl"));
    let shown = folder.path().join("absent.stl");
    assert!(absent.starts_with(&format!("'{}' cannot be read (", shown.display())), "{absent}");
}

#[test]
fn a_file_larger_than_any_mesh_is_not_read() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("large.stl");
    File::create(&path).unwrap().set_len(LARGEST_BYTES + 1).unwrap();
    assert_eq!(read_mesh(&path, 1.0).unwrap_err().to_string(), "it is larger than 200 MB");
}

#[cfg(unix)]
#[test]
fn no_link_leads_out_of_the_folder_of_the_piece() {
    use std::os::unix::fs::symlink;
    let (home, elsewhere) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
    for folder in [home.path(), elsewhere.path()] {
        std::fs::write(folder.join("shell.stl"), binary(b"", &TETRAHEDRON)).unwrap();
    }
    symlink("shell.stl", home.path().join("near.stl")).unwrap();
    symlink(elsewhere.path().join("shell.stl"), home.path().join("far.stl")).unwrap();
    symlink(elsewhere.path(), home.path().join("meshes")).unwrap();
    for good in ["shell.stl", "near.stl", "./shell.stl"] {
        assert!(read_mesh_within(home.path(), good, 1.0).is_ok(), "{good}");
    }
    for bad in ["far.stl", "meshes/shell.stl"] {
        let trouble = read_mesh_within(home.path(), bad, 1.0).unwrap_err();
        assert!(trouble.to_string().ends_with("leads out of the folder of the piece file"), "{trouble}");
    }
    let gone = read_mesh_within(home.path(), "gone.stl", 1.0).unwrap_err();
    assert!(gone.to_string().contains("cannot be read"), "{gone}");
    // The folder itself may be reached through a link.
    symlink(home.path(), elsewhere.path().join("pieces")).unwrap();
    assert!(read_mesh_within(&elsewhere.path().join("pieces"), "near.stl", 1.0).is_ok());
}

//! Meshes from STL files, binary or text.
//!
//! The triangles are read by `stl_io`. Here it is made sure first that the file is what it says it is: that a binary one is
//! as long as its count of triangles asks for, that a text one is made of short lines and ends where it should.

#[cfg(test)]
mod tests;
mod text;
mod trouble;

pub use trouble::MeshTrouble;

use crate::pour::Mesh;
use std::fs::File;
use std::io::{self, Cursor, Read};
use std::path::Path;

/// Larger files are none for a workbench: four million triangles.
const LARGEST_BYTES: u64 = 200_000_000;

/// A binary file: a header of any content, the count of triangles, and the triangles.
const HEADER: usize = 80;
const COUNTED: usize = HEADER + 4;
const TRIANGLE_BYTES: u64 = 50;

/// How long a binary file of so many triangles is.
fn bytes_of(triangles: u32) -> u64 {
    COUNTED as u64 + u64::from(triangles) * TRIANGLE_BYTES
}

type Triangles = Vec<[[f32; 3]; 3]>;

/// Reads the mesh in the file at `path`, `scale` millimetres a unit of the file.
pub fn read_mesh(path: &Path, scale: f64) -> Result<Mesh, MeshTrouble> {
    let triangles = triangles(read_bytes(path)?)?;
    Ok(Mesh::new(&triangles, scale)?)
}

/// Reads the mesh that a piece file in `folder` names: it must really lie there or in a folder below, whatever links say.
pub fn read_mesh_within(folder: &Path, file: &str, scale: f64) -> Result<Mesh, MeshTrouble> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let path = folder.join(file);
    let real = |path: &Path| path.canonicalize().map_err(|error| MeshTrouble::unreadable(path, error));
    if real(&path)?.starts_with(real(folder)?) { read_mesh(&path, scale) } else { Err(MeshTrouble::outside(&path)) }
}

fn read_bytes(path: &Path) -> Result<Vec<u8>, MeshTrouble> {
    let unreadable = |error| MeshTrouble::unreadable(path, error);
    // Asked before opening: opening a pipe would wait for somebody to write into it.
    let metadata = std::fs::metadata(path).map_err(unreadable)?;
    if !metadata.is_file() {
        return Err(MeshTrouble::no_file(path));
    }
    if metadata.len() > LARGEST_BYTES {
        return Err(MeshTrouble::TooLarge);
    }
    let mut bytes = Vec::new();
    let file = File::open(path).map_err(unreadable)?;
    // It may grow while it is read.
    file.take(LARGEST_BYTES).read_to_end(&mut bytes).map_err(unreadable)?;
    Ok(bytes)
}

/// A file may begin with the word of a text file and be binary all the same; so its length is asked first.
fn triangles(mut bytes: Vec<u8>) -> Result<Triangles, MeshTrouble> {
    let Some(head) = bytes.get(..COUNTED) else { return text_triangles(&bytes) };
    let counted = u32::from_le_bytes([head[HEADER], head[HEADER + 1], head[HEADER + 2], head[HEADER + 3]]);
    if bytes.len() as u64 != bytes_of(counted) {
        // Text has no zero bytes, and a count has one up to sixteen million.
        return if head.contains(&0) {
            Err(MeshTrouble::Count { counted, bytes: bytes.len() })
        } else {
            text_triangles(&bytes)
        };
    }
    // Whatever the header says, the reader must not take the file for text.
    bytes[..HEADER].fill(b'\n');
    read_all(bytes)
}

fn text_triangles(bytes: &[u8]) -> Result<Triangles, MeshTrouble> {
    read_all(text::plain(bytes)?)
}

fn read_all(bytes: Vec<u8>) -> Result<Triangles, MeshTrouble> {
    let mut cursor = Cursor::new(bytes);
    let mut read = 0;
    let reader = stl_io::create_stl_reader(&mut cursor);
    let corners = |triangle: io::Result<stl_io::Triangle>| {
        read += 1;
        triangle.map(|triangle| triangle.vertices.map(|corner| corner.0))
    };
    let triangles = reader.and_then(|reader| reader.map(corners).collect());
    triangles.map_err(|_| MeshTrouble::Damaged { triangle: read })
}

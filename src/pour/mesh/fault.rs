//! Why triangles are no body.

use std::fmt;

/// Why triangles are no body. Places are in the file's own coordinates.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MeshFault {
    #[error("it has no triangles")]
    Empty,
    /// `at` is the middle of the first such edge in the file's own coordinates, `count` how many there are.
    #[error("it is not watertight: {}, the first at {}", Edges(*count, "open"), Place(*at))]
    Open { at: [f64; 3], count: usize },
    /// The surface closes, but its faces do not agree which side is out. `at` and `count` as for `Open`.
    #[error("some of its faces are inside out: {}, the first at {}", Edges(*count, "contradictory"), Place(*at))]
    InsideOut { at: [f64; 3], count: usize },
    /// Triangles are counted from 1.
    #[error("a corner is not a finite number (triangle {triangle})")]
    NotFinite { triangle: usize },
    #[error("it encloses no volume")]
    Flat,
    #[error("a scale of {0} is not millimetres a unit, above 0 and at most 100000")]
    Scale(f64),
}

impl MeshFault {
    /// What to do about it.
    pub fn remedy(&self) -> &'static str {
        match self {
            MeshFault::Open { .. } => "close the gaps in the program it was drawn with, and export it anew",
            MeshFault::InsideOut { .. } => {
                "let the program it was drawn with turn all faces outwards, and export it anew"
            }
            MeshFault::Empty | MeshFault::NotFinite { .. } | MeshFault::Flat => "export it anew, as a closed body",
            MeshFault::Scale(_) => "give millimetres a unit of the file: 1 for millimetres, 25.4 for inches",
        }
    }
}

struct Edges(usize, &'static str);

impl fmt::Display for Edges {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} edge{}", self.0, self.1, if self.0 == 1 { "" } else { "s" })
    }
}

struct Place([f64; 3]);

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, z] = self.0;
        write!(f, "x {x:.2}, y {y:.2}, z {z:.2}")
    }
}

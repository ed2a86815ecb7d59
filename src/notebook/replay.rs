//! What a reading of the notebook yields.

use crate::bench::{EntryId, Stored};
use crate::text::PlainText;
use std::fmt;

/// Entries in the order in which they were written, and those of the same stretch that could not be read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Replay {
    pub entries: Vec<Stored>,
    pub unreadable: Vec<Unreadable>,
}

/// An entry that is there but not understood: a newer version of this program wrote it, or it is damaged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreadable {
    pub id: EntryId,
    /// What the notebook calls it; may be a kind that this version does not know.
    pub kind: PlainText,
    pub why: PlainText,
}

impl Replay {
    /// The last entry of the stretch, readable or not: where the next reading goes on. `None` if there was none.
    pub fn last_id(&self) -> Option<EntryId> {
        let read = self.entries.last().map(|stored| stored.id);
        read.max(self.unreadable.last().map(|lost| lost.id))
    }
}

impl fmt::Display for Unreadable {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { id: EntryId(seq), kind, why } = self;
        write!(
            f,
            "entry {seq} of kind '{kind}' cannot be read and is left out ({why}); if a newer version of this program \
             wrote it, update this one"
        )
    }
}

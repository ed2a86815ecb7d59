//! What a reading of the notebook yields.

use crate::bench::{Entry, EntryId, Stored};
use crate::text::PlainText;
use jiff::Timestamp;
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

    /// Every entry in its place, as a fold has to see them: what cannot be read is passed over there.
    pub fn in_order(self) -> Vec<Stored> {
        let mut all = self.entries;
        all.extend(self.unreadable.into_iter().map(Unreadable::passed_over));
        all.sort_by_key(|stored| stored.id);
        all
    }
}

impl Unreadable {
    fn passed_over(self) -> Stored {
        // When it happened may be the very thing that cannot be read; of what is passed over nobody asks.
        let (happened, written) = (Timestamp::UNIX_EPOCH, Timestamp::UNIX_EPOCH);
        Stored { id: self.id, happened, written, entry: Entry::PassedOver { kind: self.kind } }
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

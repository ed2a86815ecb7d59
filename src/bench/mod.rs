//! The live bench: a pure state machine. Events and the time go in, effects come out.

mod entry;
mod notice;

pub use entry::{AlarmId, BatchId, Entry, EntryId, Fingerprint, Mix, NewEntry, Seen, Stored};
pub use notice::{Notice, Urgency};

//! The notebook: the durable record of everything that happened, one `SQLite` file that is only ever added to.
//!
//! The screen and any number of commands may have it open at once. Each writes in one transaction which is on the
//! disk when the call returns, and [`Watch`] tells the others. State is not kept here: it is a fold over the entries.
//!
//! Times are kept as whole microseconds since 1970-01-01T00:00:00Z; what is finer is dropped before the entry is
//! written, so that an entry handed back by a write equals the one read later.

mod clock_tie;
mod error;
mod mount;
mod place;
mod replay;
mod row;
mod schema;
mod store;
mod watch;
mod watcher;

pub use error::{NotebookError, TransactError};
pub use replay::{Replay, Unreadable};
pub use store::{BEFORE_FIRST, Notebook, Transacted};
pub use watch::{Watch, WatchKind};
pub use watcher::Watcher;

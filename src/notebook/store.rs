//! Opening, reading and writing the notebook.

use super::error::{NotebookError, TransactError, Trouble};
use super::replay::Replay;
use super::{place, row, schema};
use crate::bench::{EntryId, NewEntry, Stored};
use jiff::Timestamp;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, ErrorCode, OpenFlags, TransactionBehavior};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// The place before the first entry: reading after it reads everything.
pub const BEFORE_FIRST: EntryId = EntryId(0);

/// How long to wait for another program that is writing.
const PATIENCE: Duration = Duration::from_secs(5);

/// One open notebook. Several may be open on the same file, in this and in other programs.
#[derive(Debug)]
pub struct Notebook {
    pub(super) conn: Connection,
    pub(super) path: PathBuf,
    version: i64,
}

/// What a check-then-write saw and did.
#[derive(Debug, Clone, PartialEq)]
pub struct Transacted {
    /// What others had written since the caller last looked.
    pub news: Replay,
    /// What the caller wrote, right after it.
    pub written: Vec<Stored>,
}

impl Notebook {
    /// Opens the notebook at `path`; makes it, and the folders above it, where missing.
    pub fn open(path: &Path) -> Result<Self, NotebookError> {
        let path = place::settle(path)?;
        match open_at(&path) {
            Ok((conn, version)) => Ok(Self { conn, path, version }),
            Err(trouble) => Err(NotebookError::new(&path, trouble)),
        }
    }

    /// The file, as an absolute path with links followed.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Writes all of `entries` or none. They are on the disk, safe from a power cut, when this returns.
    pub fn append(&mut self, entries: &[NewEntry], written: Timestamp) -> Result<Vec<Stored>, NotebookError> {
        let Self { conn, path, .. } = self;
        let mut write = || {
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let stored = row::write(&tx, entries, written)?;
            tx.commit()?;
            Ok(stored)
        };
        write().map_err(|trouble: Trouble| NotebookError::new(path, trouble))
    }

    /// Shows `decide` what was written after `seen`, and writes what it answers, all or nothing, before anybody else
    /// can write. If it refuses, nothing is written. Others wait meanwhile: `decide` should only think.
    pub fn transact<E>(
        &mut self,
        seen: EntryId,
        written: Timestamp,
        decide: impl FnOnce(&Replay) -> Result<Vec<NewEntry>, E>,
    ) -> Result<Transacted, TransactError<E>> {
        let Self { conn, path, .. } = self;
        let failed = |trouble: Trouble| NotebookError::new(path, trouble);
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate).map_err(|e| failed(e.into()))?;
        let news = row::read_after(&tx, seen).map_err(|e| failed(e.into()))?;
        let entries = decide(&news).map_err(TransactError::Refused)?;
        let written = row::write(&tx, &entries, written).map_err(failed)?;
        tx.commit().map_err(|e| failed(e.into()))?;
        Ok(Transacted { news, written })
    }

    /// Everything written after `last`, in order.
    pub fn read_after(&self, last: EntryId) -> Result<Replay, NotebookError> {
        row::read_after(&self.conn, last).map_err(|e| self.failed(e))
    }

    /// Waits no longer than this for another program that is writing.
    pub fn wait_at_most(&mut self, patience: Duration) -> Result<(), NotebookError> {
        self.conn.busy_timeout(patience).map_err(|e| self.failed(e))
    }

    /// Whether anybody else has written since the last time this was asked, or since opening. Costs next to nothing;
    /// for callers whose [`Watch`](super::Watch) says that they have to ask.
    pub fn changed_since(&mut self) -> Result<bool, NotebookError> {
        let before = self.version;
        self.version = data_version(&self.conn).map_err(|e| self.failed(e))?;
        Ok(self.version != before)
    }

    fn failed(&self, error: rusqlite::Error) -> NotebookError {
        NotebookError::new(&self.path, error)
    }
}

/// A connection to the file at `path`, not yet known to be a notebook.
pub(super) fn connect(path: &Path, create: bool) -> Result<Connection, rusqlite::Error> {
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let conn = Connection::open_with_flags(path, if create { flags | OpenFlags::SQLITE_OPEN_CREATE } else { flags })?;
    conn.busy_timeout(PATIENCE)?;
    // A schema made by somebody else must not get to run anything but plain SQL.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false)?;
    Ok(conn)
}

/// A number that changes whenever another connection has written.
pub(super) fn data_version(conn: &Connection) -> Result<i64, rusqlite::Error> {
    conn.prepare_cached("PRAGMA data_version")?.query_row([], |row| row.get(0))
}

fn open_at(path: &Path) -> Result<(Connection, i64), Trouble> {
    let mut conn = connect(path, true)?;
    // Closing the last connection would fold a log that a killed program left behind into the file: not in a file
    // that we then refuse.
    let others_log = place::log_of(path).exists();
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, others_log)?;
    // Durable when commit returns: FULL syncs the log at each commit; `fullfsync` makes macOS mean it.
    conn.execute_batch("PRAGMA synchronous = FULL; PRAGMA fullfsync = ON; PRAGMA checkpoint_fullfsync = ON")?;
    schema::prepare(&mut conn)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
    let mode = share(&conn)?;
    if conn.is_readonly(rusqlite::MAIN_DB)? {
        return Err(Trouble::ReadOnly);
    }
    if mode != "wal" {
        return Err(Trouble::NotShareable);
    }
    let version = data_version(&conn)?;
    Ok((conn, version))
}

/// Switches to the write-ahead log, so that readers and a writer do not shut each other out; gives back the mode the
/// file is in now. Only the first opening of a new notebook has anything to switch.
fn share(conn: &Connection) -> Result<String, rusqlite::Error> {
    // SQLite does not use its own waiting here: two who switch the same new file at once would wait for each other.
    const PAUSE: Duration = Duration::from_millis(10);
    let switch = || conn.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0));
    let busy = |e: &rusqlite::Error| e.sqlite_error_code() == Some(ErrorCode::DatabaseBusy);
    conn.busy_timeout(Duration::ZERO)?;
    let mut mode = switch();
    for _ in 0..PATIENCE.as_millis() / PAUSE.as_millis() {
        if !mode.as_ref().is_err_and(busy) {
            break;
        }
        std::thread::sleep(PAUSE);
        mode = switch();
    }
    conn.busy_timeout(PATIENCE)?;
    mode
}

#[cfg(test)]
mod tests;

//! Notices what other programs write to the notebook, without asking again and again.

use super::mount::shared_file_system;
use super::store::{Notebook, connect, data_version};
use super::{error::NotebookError, place};
use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher, recommended_watcher};
use rusqlite::Connection;
use std::ffi::OsString;
use std::path::Path;

/// Watches for as long as it is kept.
#[derive(Debug)]
pub struct Watch {
    kind: WatchKind,
    /// Stops watching when dropped.
    _watcher: Option<RecommendedWatcher>,
}

/// How the caller learns of writes by others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum WatchKind {
    /// The callback is called.
    Woken,
    /// Nobody calls: ask [`Notebook::changed_since`] now and then.
    Polling { why: String },
}

impl Watch {
    /// Has `ring` called, on a thread of its own, after each write by any other connection, be it of this program or
    /// another. Writes that come in quick succession may ring once. Start watching first and read then, so that no
    /// write falls between the two.
    pub fn start(notebook: &Notebook, ring: impl FnMut() + Send + 'static) -> Self {
        match watcher(notebook.path(), ring) {
            Ok(watcher) => Self { kind: WatchKind::Woken, _watcher: Some(watcher) },
            Err(why) => Self { kind: WatchKind::Polling { why }, _watcher: None },
        }
    }

    pub fn kind(&self) -> &WatchKind {
        &self.kind
    }
}

fn watcher(path: &Path, ring: impl FnMut() + Send + 'static) -> Result<RecommendedWatcher, String> {
    if let Some(kind) = shared_file_system(path) {
        return Err(format!("the notebook lies on a file system of kind '{kind}', which does not report all writes"));
    }
    let (Some(folder), Some(name)) = (path.parent(), path.file_name()) else {
        return Err("the notebook has no folder".to_owned());
    };
    let mut bell = Bell::new(path, ring).map_err(|e| NotebookError::new(path, e).to_string())?;
    let log = place::log_of(Path::new(name)).into_os_string();
    let names = [name.to_owned(), log];
    let failed = |e: notify::Error| format!("the system cannot watch the notebook's folder ({e})");
    let mut watcher = recommended_watcher(move |event: notify::Result<notify::Event>| {
        // An error means that events may have been lost.
        if event.is_ok_and(|event| !may_be_a_write(&event, &names)) {
            return;
        }
        bell.ring_if_new();
    })
    .map_err(failed)?;
    watcher.watch(folder, RecursiveMode::NonRecursive).map_err(failed)?;
    Ok(watcher)
}

fn may_be_a_write(event: &notify::Event, names: &[OsString]) -> bool {
    let ours = |path: &std::path::PathBuf| path.file_name().is_some_and(|name| names.iter().any(|ours| ours == name));
    event.need_rescan() || (!matches!(event.kind, EventKind::Access(_)) && event.paths.iter().any(ours))
}

/// Decides whether an event of the file system is news.
struct Bell<F> {
    conn: Connection,
    version: i64,
    ring: F,
}

impl<F: FnMut()> Bell<F> {
    fn new(path: &Path, ring: F) -> Result<Self, rusqlite::Error> {
        let conn = connect(path, false)?;
        let version = data_version(&conn)?;
        Ok(Self { conn, version, ring })
    }

    fn ring_if_new(&mut self) {
        // The event comes when the writer puts its pages into the log, but others see them only once they are
        // synced. The writer holds the write lock from before the first until after the second, so whoever has had
        // that lock after the event sees the write; ringing at once would wake a reader too early, and no event
        // comes later.
        let settled = self.conn.execute_batch("BEGIN IMMEDIATE; ROLLBACK");
        let version = settled.and_then(|()| data_version(&self.conn));
        // In doubt, ring: a wake-up for nothing costs one look at the file.
        if version.as_ref().ok() != Some(&self.version) {
            self.version = version.unwrap_or(self.version);
            (self.ring)();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_cannot_be_watched_is_said_so_that_the_caller_asks_instead() {
        let home = tempfile::tempdir().unwrap();
        let notebook = Notebook::open(&home.path().join("notebook.db")).unwrap();
        home.close().unwrap();
        let watch = Watch::start(&notebook, || {});
        let WatchKind::Polling { why } = watch.kind() else { panic!("a folder that is gone cannot be watched") };
        assert!(why.contains("notebook.db' cannot be opened"), "{why}");
    }

    #[test]
    fn only_writes_to_the_notebook_or_its_log_are_looked_at() {
        let names = ["notebook.db", "notebook.db-wal"].map(OsString::from);
        let event = |kind, path: &str| notify::Event::new(kind).add_path(Path::new("/pond").join(path));
        let write = EventKind::Modify(notify::event::ModifyKind::Any);
        let look = EventKind::Access(notify::event::AccessKind::Any);
        assert!(may_be_a_write(&event(write, "notebook.db-wal"), &names));
        assert!(may_be_a_write(&event(write, "notebook.db"), &names));
        assert!(!may_be_a_write(&event(look, "notebook.db"), &names));
        assert!(!may_be_a_write(&event(write, "notebook.db-shm"), &names));
        let lost = notify::Event::new(EventKind::Other).set_flag(notify::event::Flag::Rescan);
        assert!(may_be_a_write(&lost, &names));
    }
}

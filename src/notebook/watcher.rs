//! Which process sounds the alarms.

use super::error::{NotebookError, Trouble};
use super::store::Notebook;
use jiff::Timestamp;
use rusqlite::{OptionalExtension, params};

/// The process that sounds the alarms, or was the last to.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Watcher {
    /// What it is: "screen", "vigil".
    pub kind: String,
    pub pid: u32,
    pub since: Timestamp,
    /// When it last sounded something; 1970 where it has not yet.
    pub pulse: Timestamp,
    /// Which settings it goes by.
    pub settings: String,
}

impl Notebook {
    /// Who sounds the alarms; `None` where nobody ever has.
    pub fn watcher(&self) -> Result<Option<Watcher>, NotebookError> {
        let read = || -> Result<Option<Watcher>, Trouble> {
            let mut statement =
                self.conn.prepare_cached("SELECT kind, pid, since_us, pulse_us, settings FROM watcher")?;
            let row =
                statement.query_row([], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?)));
            let time = |us| Timestamp::from_microsecond(us).unwrap_or(Timestamp::MIN);
            let row: Option<(String, u32, i64, i64, String)> = row.optional()?;
            let watcher = |(kind, pid, since, pulse, settings)| Watcher {
                kind,
                pid,
                since: time(since),
                pulse: time(pulse),
                settings,
            };
            Ok(row.map(watcher))
        };
        read().map_err(|trouble| NotebookError::new(self.path(), trouble))
    }

    /// Writes down who sounds the alarms.
    pub fn set_watcher(&mut self, watcher: &Watcher) -> Result<(), NotebookError> {
        let Self { conn, path, .. } = self;
        let write = conn.execute(
            "INSERT INTO watcher VALUES (1, ?1, ?2, ?3, ?4, ?5) ON CONFLICT (id) DO UPDATE SET kind = excluded.kind, \
             pid = excluded.pid, since_us = excluded.since_us, pulse_us = excluded.pulse_us, \
             settings = excluded.settings",
            params![
                watcher.kind,
                watcher.pid,
                watcher.since.as_microsecond(),
                watcher.pulse.as_microsecond(),
                watcher.settings
            ],
        );
        write.map(drop).map_err(|error| NotebookError::new(path, error))
    }
}

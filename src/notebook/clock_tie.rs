//! How the machine's clock was last known to stand.

use super::error::{NotebookError, Trouble};
use super::row;
use super::store::Notebook;
use crate::bench::{Entry, EntryId, NewEntry, Tie, UptimeClock};
use jiff::{SignedDuration, Timestamp};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};

impl Notebook {
    /// How the clock stood when that was last looked at; `None` where nobody has.
    pub fn clock_tie(&self) -> Result<Option<Tie>, NotebookError> {
        read(&self.conn).map_err(|trouble| NotebookError::new(self.path(), trouble))
    }

    /// Compares the clock, which shows `wall`, with how it stood. Where it was set since, that becomes an entry, once, whoever
    /// finds it first. Gives back how it stands now.
    pub fn settle_clock(&mut self, wall: Timestamp, shown: &UptimeClock) -> Result<Tie, NotebookError> {
        let Self { conn, path, .. } = self;
        let mut settle = || -> Result<Tie, Trouble> {
            if let Some(known) = read(conn)?.filter(|known| known.stands(wall, shown)) {
                return Ok(known);
            }
            let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
            // Looked at again now that nobody else can write.
            let known = read(&tx)?;
            let tie = Tie::of(wall, shown);
            let same_start = known.as_ref().filter(|known| known.boot == tie.boot);
            let by = same_start.map_or(SignedDuration::ZERO, |known| known.set_by(wall, shown));
            // What was written under an earlier start was by a clock that nobody can compare.
            let after: i64 = match same_start {
                Some(_) => tx.query_row("SELECT after_seq FROM clock", [], |row| row.get(0))?,
                None => tx.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?,
            };
            if !by.is_zero() {
                let by_us = i64::try_from(by.as_micros()).unwrap_or(0);
                let entry = Entry::ClockSet { by_us, after: EntryId(after) };
                row::write(&tx, &[NewEntry { happened: wall, entry }], wall)?;
            }
            tx.execute(
                "INSERT INTO clock VALUES (1, ?1, ?2, ?3) ON CONFLICT (id) DO UPDATE SET boot = excluded.boot, \
                 offset_us = excluded.offset_us, after_seq = excluded.after_seq",
                params![tie.boot, tie.offset_us, after],
            )?;
            tx.commit()?;
            Ok(tie)
        };
        settle().map_err(|trouble| NotebookError::new(path, trouble))
    }
}

fn read(conn: &Connection) -> Result<Option<Tie>, Trouble> {
    let mut statement = conn.prepare_cached("SELECT boot, offset_us FROM clock")?;
    let tie = statement.query_row([], |row| Ok(Tie { boot: row.get(0)?, offset_us: row.get(1)? }));
    Ok(tie.optional()?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::notebook::BEFORE_FIRST;

    #[test]
    fn a_clock_that_was_set_is_told_once_whoever_finds_it() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n.sqlite");
        let (mut one, mut two) = (Notebook::open(&path).unwrap(), Notebook::open(&path).unwrap());
        let at = |minute: i64| Timestamp::UNIX_EPOCH + SignedDuration::from_mins(minute);
        let shown = |minute: i64| UptimeClock { boot: "koi".to_owned(), uptime: SignedDuration::from_mins(minute) };
        let entries = |notebook: &Notebook| notebook.read_after(BEFORE_FIRST).unwrap().entries;
        one.settle_clock(at(100), &shown(0)).unwrap();
        two.settle_clock(at(110), &shown(10)).unwrap();
        assert!(entries(&one).is_empty());
        let (a, b) = (one.settle_clock(at(180), &shown(20)).unwrap(), two.settle_clock(at(181), &shown(21)).unwrap());
        assert_eq!((a, entries(&one).len()), (b, 1));
        assert_eq!(entries(&two)[0].entry, Entry::ClockSet { by_us: 60 * 60_000_000, after: EntryId(0) });
    }
}

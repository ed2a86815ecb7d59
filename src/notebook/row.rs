//! One row of the `entry` table, there and back.

use super::error::Trouble;
use super::replay::{Replay, Unreadable};
use crate::bench::{Entry, EntryId, NewEntry, Stored};
use crate::text::PlainText;
use jiff::Timestamp;
use rusqlite::types::ValueRef;
use rusqlite::{Connection, Row};

/// The columns in the order in which [`decode`] takes them.
const AFTER: &str = "SELECT seq, happened_us, written_us, kind, body FROM entry WHERE seq > ?1 ORDER BY seq";

/// Everything written after `last`, in order.
pub(super) fn read_after(conn: &Connection, last: EntryId) -> Result<Replay, rusqlite::Error> {
    let mut statement = conn.prepare_cached(AFTER)?;
    let mut rows = statement.query([last.0])?;
    let mut replay = Replay::default();
    while let Some(row) = rows.next()? {
        let id = EntryId(row.get(0)?);
        match decode(id, row) {
            Ok(stored) => replay.entries.push(stored),
            Err(why) => replay.unreadable.push(Unreadable { id, kind: kind_of(row)?, why: PlainText::new(&why) }),
        }
    }
    Ok(replay)
}

/// Writes `entries` in their order. To be called inside a transaction: it may fail half-way.
///
/// What comes back is decoded from the very text that was written, so it is what every later reading yields.
pub(super) fn write(conn: &Connection, entries: &[NewEntry], written: Timestamp) -> Result<Vec<Stored>, Trouble> {
    // The kind stands in the body already; SQLite copies it out, so that the two cannot disagree.
    let mut insert = conn
        .prepare_cached("INSERT INTO entry (happened_us, written_us, kind, body) VALUES (?1, ?2, ?3 ->> 'kind', ?3)")?;
    let would_not = |why: &dyn std::fmt::Display| Trouble::WouldNotReadBack(PlainText::new(&why.to_string()).into());
    let mut stored = Vec::with_capacity(entries.len());
    for NewEntry { happened, entry } in entries {
        let body = serde_json::to_string(entry).map_err(|e| would_not(&e))?;
        let (happened_us, written_us) = (happened.as_microsecond(), written.as_microsecond());
        let id = EntryId(insert.insert((happened_us, written_us, &body))?);
        stored.push(assemble(id, happened_us, written_us, &body).map_err(|e| would_not(&e))?);
    }
    Ok(stored)
}

fn decode(id: EntryId, row: &Row<'_>) -> Result<Stored, String> {
    let us = |column| row.get(column).map_err(|e| e.to_string());
    // Borrowed from SQLite's own page: copying each body would be the larger part of a long replay.
    let body = row.get_ref(4).map_err(|e| e.to_string())?.as_str().map_err(|_| "its text is not UTF-8".to_owned())?;
    assemble(id, us(1)?, us(2)?, body)
}

fn assemble(id: EntryId, happened_us: i64, written_us: i64, body: &str) -> Result<Stored, String> {
    let time = |us| Timestamp::from_microsecond(us).map_err(|_| format!("'{us}' µs is no time"));
    let entry: Entry = serde_json::from_str(body).map_err(|e| e.to_string())?;
    Ok(Stored { id, happened: time(happened_us)?, written: time(written_us)?, entry })
}

fn kind_of(row: &Row<'_>) -> Result<PlainText, rusqlite::Error> {
    Ok(match row.get_ref(3)? {
        ValueRef::Text(kind) => PlainText::new(&String::from_utf8_lossy(kind)),
        _ => PlainText::default(),
    })
}

//! The file's format: whose it is, which version, and the steps from each version to the next.

use super::error::Trouble;
use rusqlite::{Connection, TransactionBehavior};

/// `NPnb` in ASCII: marks an `SQLite` file as one of our notebooks (`PRAGMA application_id`).
const APPLICATION_ID: i32 = i32::from_be_bytes(*b"NPnb");

/// Step n brings a file from version n to n + 1. Steps are never changed once released, only added to.
const STEPS: [&str; 3] =
    [include_str!("steps/1_entries.sql"), include_str!("steps/2_append_only.sql"), include_str!("steps/3_beside.sql")];

/// The version this program writes.
pub(super) const LATEST: usize = STEPS.len();

/// Makes an empty file a notebook, or brings an older notebook up to date. Changes nothing in any other file.
pub(super) fn prepare(conn: &mut Connection) -> Result<(), Trouble> {
    while admit(conn)? < LATEST {
        let tx = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Looked at again now that nobody else can write: another program may have taken the step meanwhile.
        let version = look(&tx)?;
        if let Some(step) = STEPS.get(version) {
            if version == 0 {
                tx.pragma_update(None, "application_id", APPLICATION_ID)?;
            }
            tx.execute_batch(step)?;
            tx.execute_batch(&format!("PRAGMA user_version = {}", version + 1))?;
            tx.commit()?;
        }
    }
    Ok(())
}

/// The version of a file that we may use, seen as of one moment.
fn admit(conn: &mut Connection) -> Result<usize, Trouble> {
    look(&*conn.transaction()?)
}

/// The version of a file that we may use; 0 if it is empty. To be called inside a transaction.
fn look(conn: &Connection) -> Result<usize, Trouble> {
    let application: i32 = conn.pragma_query_value(None, "application_id", |row| row.get(0))?;
    let version: i64 = conn.pragma_query_value(None, "user_version", |row| row.get(0))?;
    let bare: bool = conn.query_row("SELECT NOT EXISTS (SELECT 1 FROM sqlite_schema)", [], |row| row.get(0))?;
    let empty = application == 0 && version == 0 && bare;
    if application != APPLICATION_ID && !empty {
        return Err(Trouble::Foreign);
    }
    usize::try_from(version).ok().filter(|known| *known <= LATEST).ok_or(Trouble::Newer { found: version })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_empty_file_becomes_a_notebook_and_stays_one() {
        let mut conn = Connection::open_in_memory().unwrap();
        assert_eq!(admit(&mut conn).unwrap(), 0);
        prepare(&mut conn).unwrap();
        assert_eq!(admit(&mut conn).unwrap(), LATEST);
        prepare(&mut conn).unwrap();
    }

    #[test]
    fn a_bare_database_with_somebody_elses_mark_is_theirs() {
        let mut conn = Connection::open_in_memory().unwrap();
        conn.pragma_update(None, "user_version", 1).unwrap();
        assert!(matches!(prepare(&mut conn), Err(Trouble::Foreign)));
    }

    #[test]
    fn a_failing_step_leaves_the_version_as_it_was() {
        let mut conn = Connection::open_in_memory().unwrap();
        conn.pragma_update(None, "application_id", APPLICATION_ID).unwrap();
        conn.execute_batch("CREATE TABLE entry (in_the_way INTEGER)").unwrap();
        assert!(prepare(&mut conn).is_err());
        assert_eq!(admit(&mut conn).unwrap(), 0);
    }
}

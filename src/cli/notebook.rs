//! `nightpour notebook`: what was written down.

mod table;

use super::json::print_json;
use super::shared::{Desk, Failure};
use crate::bench::{Entry, EntryId, Log, Stored, entry_words};
use crate::when::rfc3339;
use clap::Args;
use serde::Serialize;
use std::collections::BTreeSet;
use std::io::Write;

/// What was written down, oldest first
#[derive(Debug, Args)]
pub struct NotebookArgs {
    /// Only the newest N entries
    #[arg(long, value_name = "N")]
    last: Option<usize>,

    /// Print JSON
    #[arg(long, conflicts_with = "csv")]
    json: bool,

    /// Print CSV, units in the column names; a text that begins with = + - or @ gets a ' before it, so that no
    /// spreadsheet takes it for a formula
    #[arg(long)]
    csv: bool,
}

/// One entry as `--json` prints it.
#[derive(Debug, Serialize)]
struct EntryFacts<'a> {
    entry: EntryId,
    happened: String,
    written: String,
    undone: bool,
    words: String,
    what: &'a Entry,
}

pub(super) fn run(args: &NotebookArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let mut entries = desk.entries()?;
    let log = Log::replay(entries.iter().cloned());
    entries.retain(|stored| !matches!(stored.entry, Entry::PassedOver { .. }));
    let undone: BTreeSet<EntryId> = entries.iter().filter_map(undoes).collect();
    let first = entries.len().saturating_sub(args.last.unwrap_or(usize::MAX));
    let facts = entries[first..].iter().map(|stored| EntryFacts {
        entry: stored.id,
        happened: rfc3339(stored.happened, &desk.zone),
        written: rfc3339(stored.written, &desk.zone),
        undone: undone.contains(&stored.id),
        words: entry_words(&stored.entry, &log, &desk.zone),
        what: &stored.entry,
    });
    if args.json {
        return Ok(print_json(&facts.collect::<Vec<_>>(), out)?);
    }
    if args.csv {
        return Ok(table::print(facts, &log, out)?);
    }
    for (f, stored) in facts.zip(&entries[first..]) {
        let day = stored.happened.to_zoned_datetime(desk.zone.clone()).strftime("%Y-%m-%d %H:%M");
        let sign = if f.undone { " (undone)" } else { "" };
        writeln!(out, "{:>5}  {day}  {}{sign}", f.entry.0, f.words)?;
    }
    Ok(())
}

fn undoes(stored: &Stored) -> Option<EntryId> {
    match stored.entry {
        Entry::Undone { entry } => Some(entry),
        _ => None,
    }
}

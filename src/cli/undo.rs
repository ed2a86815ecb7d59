//! `nightpour undo`: take an entry back, by a further entry.

use super::shared::{Desk, Failure};
use crate::bench::{Command, Entry, EntryId, entry_words};
use clap::Args;
use std::io::Write;

/// Take back the newest entry (nothing is erased: the undo is an entry too)
#[derive(Debug, Args)]
pub struct UndoArgs {
    /// Another entry than the newest, by its number in 'nightpour notebook'
    #[arg(long, value_name = "N", value_parser = number)]
    entry: Option<i64>,
}

fn number(text: &str) -> Result<i64, String> {
    text.trim().parse().map_err(|_| "write the number that 'nightpour notebook' shows before the entry".to_owned())
}

pub(super) fn run(args: &UndoArgs, desk: &Desk, out: &mut impl Write) -> Result<(), Failure> {
    let written = desk.write(&desk.shelf().catalogue, |_| Ok(Command::Undo { entry: args.entry.map(EntryId) }))?;
    for stored in &written.entries {
        let Entry::Undone { entry } = &stored.entry else { continue };
        let undone = written.log.tail().find(|(s, _)| s.id == *entry);
        let words = undone.map(|(s, _)| entry_words(&s.entry, &written.log, &desk.zone)).unwrap_or_default();
        writeln!(out, "undid entry {}: {words}", entry.0)?;
    }
    Ok(())
}

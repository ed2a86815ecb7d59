//! `profiles list`

use super::json::{BadFileJson, ListJson, ListedJson};
use super::stand_in;
use crate::cli::json::print_json;
use crate::fit::{clipped, padded, wrapped};
use crate::folders::Shelf;
use crate::material::{Cure, Item, Mixing, Origin};
use std::io::{self, Write};

const SCREEN: usize = 80;

pub(super) fn run(shelf: &Shelf, json: bool, out: &mut impl Write) -> io::Result<()> {
    if json {
        let materials = shelf.catalogue.iter().map(ListedJson::new).collect();
        let unused = shelf.bad.iter().map(BadFileJson::new).collect();
        return print_json(&ListJson { materials, unused_files: unused }, out);
    }
    let ids = shelf.catalogue.iter().map(|item| item.profile.id.as_str().len()).max().unwrap_or_default();
    for item in shelf.catalogue.iter() {
        let line = format!(
            "{}  {}  {}  {}",
            padded(item.profile.id.as_str(), ids),
            padded(kind(item), 13),
            padded(whose(item), 9),
            item.profile.name
        );
        writeln!(out, "{}", clipped(&line, SCREEN))?;
    }
    tell_unused(shelf, out)
}

fn kind(item: &Item) -> &'static str {
    match (&item.profile.mixing, &item.profile.cure) {
        (_, Cure::Light { .. }) => "set by light",
        (Mixing::Catalysed { .. }, _) => "catalyst dose",
        (Mixing::TwoPart { .. }, _) => "two parts",
        (Mixing::OnePart, _) => "one part",
    }
}

fn whose(item: &Item) -> &'static str {
    match item.origin {
        Origin::Embedded => "built in",
        Origin::File(_) => "your file",
    }
}

/// Names the user's files that are not used, and what is in their place.
fn tell_unused(shelf: &Shelf, out: &mut impl Write) -> io::Result<()> {
    if shelf.bad.is_empty() {
        return Ok(());
    }
    writeln!(out, "\nNot used, for what is wrong with it ('nightpour profiles check' says more):")?;
    for bad in &shelf.bad {
        writeln!(out, "  {}", bad.path)?;
        for line in wrapped(&format!("{}; {}", bad.trouble, stand_in(shelf, bad)), SCREEN - 6) {
            writeln!(out, "      {line}")?;
        }
    }
    Ok(())
}

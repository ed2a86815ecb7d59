//! Keys nobody asked for: what was probably meant by them.

use super::amount::{self, Measure};
use super::near::nearest;
use super::problem::Problem;
use super::table::{Key, Place};
use std::ops::Range;

/// A key left over when its table had been read.
#[derive(Debug)]
pub(super) struct Stray {
    pub name: String,
    pub span: Range<usize>,
    /// Its value as written.
    pub value: String,
}

/// A table after reading: what could have been there, and what was there besides.
#[derive(Debug)]
pub(super) struct Visited {
    pub place: Place,
    pub known: Vec<Key>,
    pub strays: Vec<Stray>,
}

/// One problem for each stray key of the whole file.
pub(super) fn problems(visited: &[Visited]) -> impl Iterator<Item = Problem> + '_ {
    visited.iter().flat_map(move |table| table.strays.iter().map(move |stray| problem(stray, table, visited)))
}

fn problem(stray: &Stray, table: &Visited, all: &[Visited]) -> Problem {
    if let Some((what, remedy)) = wrong_unit(stray, &table.known) {
        return Problem::new(stray.span.clone(), &what, Some(&stray.value), &remedy);
    }
    let what = format!("'{}' is no key {}", stray.name, table.place);
    let remedy = misplaced(stray, all)
        .or_else(|| {
            let meant = nearest(&stray.name, table.known.iter().map(|key| key.name))?;
            Some(format!("did you mean '{meant}'? Write {meant} = {}", stray.value))
        })
        .unwrap_or_else(|| {
            let names: Vec<&str> = table.known.iter().map(|key| key.name).collect();
            format!("take it out; known here: {}", names.join(", "))
        });
    Problem::new(stray.span.clone(), &what, Some(&stray.name), &remedy)
}

/// The key exists, but in another table: mostly a top line written below a header.
fn misplaced(stray: &Stray, all: &[Visited]) -> Option<String> {
    let home = all.iter().find(|table| table.known.iter().any(|key| key.name == stray.name))?;
    Some(match &home.place {
        Place::Top => "move it to the top of the file, above the first [header]".to_owned(),
        place => format!("it belongs {place}: move it there"),
    })
}

/// The right stem with another unit (`floor_f`, `after_min`), or with none (`floor`).
fn wrong_unit(stray: &Stray, known: &[Key]) -> Option<(String, String)> {
    known.iter().find_map(|key| {
        let wanted = amount::of_key(key.name);
        let stem_of = |name: &'static str| amount::endings(name).first().map_or(name, |&(stem, _)| stem);
        let stem = stem_of(key.name);
        if let Some(unit) = wanted
            && stray.name == stem
        {
            let what = format!("'{}' does not say its unit", stray.name);
            return Some((what, format!("write {} = {}, in {}", key.name, stray.value, unit.symbol)));
        }
        let &(_, given) = amount::endings(&stray.name).iter().find(|&&(given_stem, unit)| {
            given_stem == stem && wanted.map_or(unit.measure == Measure::Time, |w| w.measure == unit.measure)
        })?;
        let figure = amount::split(stray.value.trim_matches('"')).map(|(figure, _)| figure);
        let typed = figure.map(amount::typed);
        Some(match (wanted, figure, typed) {
            (Some(unit), Some(figure), Some(typed)) => (
                format!("'{}' is in {}; the key here is '{}', in {}", stray.name, given.symbol, key.name, unit.symbol),
                format!(
                    "write {} = {} ({typed} {} in {})",
                    key.name,
                    amount::typed(amount::convert(figure, given, unit)),
                    given.symbol,
                    unit.symbol
                ),
            ),
            (Some(unit), ..) => (
                format!("'{}' is in {}; the key here is '{}'", stray.name, given.symbol, key.name),
                format!("write {key}, in {}", unit.symbol),
            ),
            (None, _, typed) => (
                format!("'{}' has its unit in the key; a duration has it in its text", stray.name),
                match typed {
                    Some(typed) => format!("write {} = \"{typed}{}\"", key.name, given.symbol),
                    None => format!("write {key}"),
                },
            ),
        })
    })
}

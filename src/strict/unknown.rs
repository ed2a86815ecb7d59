//! Keys nobody asked for: what was probably meant by them.

use super::amount::{self, Measure, Unit};
use super::near::nearest;
use super::problem::Problem;
use super::table::{Key, Place};
use std::ops::Range;

/// A key left over when its table had been read.
#[derive(Debug)]
pub(super) struct Stray {
    pub name: String,
    pub span: Range<usize>,
    /// Its value as written, shortened.
    pub value: String,
}

/// A table after reading: what could have been there, and what was there besides.
#[derive(Debug)]
pub(super) struct Visited {
    pub place: Place,
    pub known: Vec<Key>,
    /// Keys one of which should have been there, with the words for it.
    pub missing: Vec<(Vec<Key>, Problem)>,
    pub strays: Vec<Stray>,
}

/// A key that was meant by a stray one, and the table it belongs in.
type Meant<'v> = (&'v Place, Key);

/// One problem for each stray key of the whole file, and one for each missing key that is none of them in disguise.
pub(super) fn problems(visited: &[Visited]) -> Vec<Problem> {
    let strays: Vec<(Option<Meant<'_>>, Problem)> =
        visited.iter().flat_map(|table| table.strays.iter().map(move |stray| judge(stray, table, visited))).collect();
    let missing = visited.iter().flat_map(|table| {
        let disguised = |key: Key| strays.iter().any(|(meant, _)| *meant == Some((&table.place, key)));
        let told = move |keys: &[Key]| keys.iter().any(|key| disguised(*key));
        table.missing.iter().filter(move |(keys, _)| !told(keys)).map(|(_, problem)| problem.clone())
    });
    let mut found: Vec<Problem> = missing.collect();
    found.extend(strays.into_iter().map(|(_, problem)| problem));
    found
}

/// What is wrong with a stray key, and which key was probably meant.
fn judge<'v>(stray: &Stray, table: &'v Visited, all: &'v [Visited]) -> (Option<Meant<'v>>, Problem) {
    let problem = |what: &str, value: &str, remedy: &str| Problem::new(stray.span.clone(), what, Some(value), remedy);
    if let Some((key, what, remedy)) = wrong_unit(stray, &table.known) {
        return (Some((&table.place, key)), problem(&what, &stray.value, &remedy));
    }
    let what = format!("unknown key {}", table.place);
    let names = || table.known.iter().map(|key| key.name);
    let near = nearest(&stray.name, names());
    // What stands in braces somewhere else is less likely meant than a slip of the finger here.
    let elsewhere = |home: &Meant<'v>| near.is_none() || !matches!(home.0, Place::Braces(_));
    if let Some(home) = home(stray, all).filter(elsewhere) {
        let remedy = match home.0 {
            Place::Top => "move it to the top of the file, above the first [header]".to_owned(),
            place => format!("it belongs {place}: move it there"),
        };
        return (Some(home), problem(&what, &stray.name, &remedy));
    }
    if let Some(key) = near.and_then(|name| table.known.iter().find(|key| key.name == name)) {
        return (Some((&table.place, *key)), problem(&what, &stray.name, &instead(stray, *key)));
    }
    let list: Vec<&str> = names().collect();
    (None, problem(&what, &stray.name, &format!("take it out; known here: {}", list.join(", "))))
}

/// What to write where `key` was probably meant.
fn instead(stray: &Stray, key: Key) -> String {
    let (name, value) = (key.name, &stray.value);
    let other_unit = amount::of_key(&stray.name).is_some_and(|unit| Some(unit) != amount::of_key(name));
    if value.starts_with(['[', '{']) {
        format!("write {name} instead of {}", stray.name)
    } else if other_unit {
        format!("write {name}, with the figure in its unit")
    } else if key.is_list() {
        format!("write {name} = [{value}]")
    } else {
        format!("write {name} = {value}")
    }
}

/// The key exists, but in another table: mostly a top line written below a header.
fn home<'v>(stray: &Stray, all: &'v [Visited]) -> Option<Meant<'v>> {
    all.iter().find_map(|table| {
        let key = table.known.iter().find(|key| key.name == stray.name)?;
        Some((&table.place, *key))
    })
}

/// The right stem with another unit (`floor_f`, `after_min`), or with none (`floor`): the key meant, what and remedy.
fn wrong_unit(stray: &Stray, known: &[Key]) -> Option<(Key, String, String)> {
    known.iter().find_map(|&key| {
        let (stem, wanted) = match amount::endings(key.name).first() {
            Some(&(stem, unit)) => (stem, Some(unit)),
            None => (key.name, None),
        };
        let (what, remedy) = match wanted {
            Some(unit) if stray.name == stem => (
                format!("'{stem}' does not say its unit"),
                format!("write {} = {}, in {}", key.name, stray.value, unit.symbol),
            ),
            Some(unit) => other_unit(stray, key, stem, unit)?,
            None => unit_in_key(stray, key)?,
        };
        Some((key, what, remedy))
    })
}

/// `floor_f` for `floor_c`.
fn other_unit(stray: &Stray, key: Key, stem: &str, unit: &Unit) -> Option<(String, String)> {
    let given = ending(stray, stem, unit.measure)?;
    let what = format!("'{}' is in {}; the key here is '{}', in {}", stray.name, given.symbol, key.name, unit.symbol);
    let remedy = match figure(stray) {
        Some(figure) => {
            let meant = amount::typed(amount::convert(figure, given, unit));
            format!("write {} = {meant} (that is {} {})", key.name, amount::typed(figure), given.symbol)
        }
        None => format!("write {key}, in {}", unit.symbol),
    };
    Some((what, remedy))
}

/// `after_min` for `after`.
fn unit_in_key(stray: &Stray, key: Key) -> Option<(String, String)> {
    let given = ending(stray, key.name, Measure::Time)?;
    let what = format!("'{}' has its unit in the key; a duration has it in its text", stray.name);
    let remedy = match figure(stray) {
        Some(figure) => format!("write {} = \"{}{}\"", key.name, amount::typed(figure), given.symbol),
        None => format!("write {key}"),
    };
    Some((what, remedy))
}

fn ending(stray: &Stray, stem: &str, measure: Measure) -> Option<&'static Unit> {
    let endings = amount::endings(&stray.name);
    endings.iter().find(|(given, unit)| *given == stem && unit.measure == measure).map(|&(_, unit)| unit)
}

fn figure(stray: &Stray) -> Option<f64> {
    amount::split(stray.value.trim_matches('"')).map(|(figure, _)| figure)
}

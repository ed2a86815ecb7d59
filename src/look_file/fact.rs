//! What a column can tell, and which column of a file tells it.

use super::problem::Trouble;
use crate::text::PlainText;
use std::collections::BTreeMap;
use std::str::FromStr;

/// What a column tells. Its key is the name of the column where nothing else is said.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fact {
    Stage,
    Celsius,
    DosePercent,
    AfterH,
    ByH,
    AfterMin,
    ByMin,
    DepthMm,
    Count,
    Test,
    Trust,
}

impl Fact {
    pub const ALL: [Fact; 11] = [
        Fact::Stage,
        Fact::Celsius,
        Fact::DosePercent,
        Fact::AfterH,
        Fact::ByH,
        Fact::AfterMin,
        Fact::ByMin,
        Fact::DepthMm,
        Fact::Count,
        Fact::Test,
        Fact::Trust,
    ];

    pub const fn key(self) -> &'static str {
        match self {
            Fact::Stage => "stage",
            Fact::Celsius => "c",
            Fact::DosePercent => "dose_percent",
            Fact::AfterH => "after_h",
            Fact::ByH => "by_h",
            Fact::AfterMin => "after_min",
            Fact::ByMin => "by_min",
            Fact::DepthMm => "depth_mm",
            Fact::Count => "count",
            Fact::Test => "test",
            Fact::Trust => "trust",
        }
    }
}

/// Where facts stand that do not stand under their own names: under another column's, or the same in every line.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ColumnMap {
    named: BTreeMap<Fact, String>,
    fixed: BTreeMap<Fact, String>,
}

/// A piece of a map that cannot be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{given}' says of no fact where it stands; write FACT=COLUMN, FACT one of: {}", Fact::ALL.map(Fact::key).join(", "))]
pub struct BadColumn {
    given: String,
}

impl ColumnMap {
    /// `fact=column`: the fact stands under that column.
    pub fn name(&mut self, text: &str) -> Result<(), BadColumn> {
        let (fact, column) = pair(text)?;
        self.named.insert(fact, column);
        Ok(())
    }

    /// `fact=value`: it is that in every line.
    pub fn fix(&mut self, text: &str) -> Result<(), BadColumn> {
        let (fact, value) = pair(text)?;
        self.fixed.insert(fact, value);
        Ok(())
    }
}

fn pair(text: &str) -> Result<(Fact, String), BadColumn> {
    let bad = || BadColumn { given: crate::text::printable(text) };
    let (fact, column) = text.split_once('=').ok_or_else(bad)?;
    Ok((fact.trim().parse().map_err(|()| bad())?, column.trim().to_owned()))
}

impl FromStr for Fact {
    type Err = ();

    fn from_str(text: &str) -> Result<Self, ()> {
        Fact::ALL.into_iter().find(|fact| fact.key() == text).ok_or(())
    }
}

/// Where each fact of a file stands.
#[derive(Debug, Clone)]
pub(super) struct Columns {
    places: BTreeMap<Fact, usize>,
    names: BTreeMap<Fact, String>,
    fixed: BTreeMap<Fact, String>,
}

impl Columns {
    pub fn new(header: &csv::StringRecord, map: &ColumnMap) -> Result<Self, Vec<Trouble>> {
        let (mut places, mut names, mut troubles) = (BTreeMap::new(), BTreeMap::new(), Vec::new());
        for fact in Fact::ALL.into_iter().filter(|fact| !map.fixed.contains_key(fact)) {
            let asked = map.named.get(&fact);
            let name = asked.map_or(fact.key(), String::as_str);
            let mut found = header.iter().enumerate().filter(|(_, column)| column.eq_ignore_ascii_case(name));
            match (found.next(), found.next()) {
                (Some(_), Some(_)) => troubles.push(Trouble::ColumnTwice { column: PlainText::new(name) }),
                (Some((place, _)), None) => {
                    places.insert(fact, place);
                    names.insert(fact, name.to_owned());
                }
                (None, _) if asked.is_some() => {
                    troubles.push(Trouble::NoColumn { wanted: PlainText::new(name), found: listed(header) });
                }
                (None, _) => {}
            }
        }
        let columns = Self { places, names, fixed: map.fixed.clone() };
        let has = |fact| columns.has(fact);
        if !has(Fact::Celsius) {
            troubles.push(Trouble::NoColumn { wanted: PlainText::new(Fact::Celsius.key()), found: listed(header) });
        }
        if ![Fact::AfterH, Fact::ByH, Fact::AfterMin, Fact::ByMin].into_iter().any(has) {
            troubles.push(Trouble::NoTimes { found: listed(header) });
        }
        if troubles.is_empty() { Ok(columns) } else { Err(troubles) }
    }

    pub fn has(&self, fact: Fact) -> bool {
        self.places.contains_key(&fact) || self.fixed.contains_key(&fact)
    }

    /// The value of a fact in a line; `None` where it is blank or has no column.
    pub fn value<'v>(&'v self, fact: Fact, values: &'v csv::StringRecord) -> Option<&'v str> {
        let written = self.places.get(&fact).and_then(|place| values.get(*place));
        written.or_else(|| self.fixed.get(&fact).map(String::as_str)).filter(|text| !text.is_empty())
    }

    /// The name of the column a fact stands under.
    pub fn name(&self, fact: Fact) -> PlainText {
        PlainText::new(self.names.get(&fact).map_or(fact.key(), String::as_str))
    }
}

fn listed(header: &csv::StringRecord) -> String {
    let names: Vec<String> = header.iter().take(12).map(|name| format!("'{}'", PlainText::new(name))).collect();
    names.join(", ")
}

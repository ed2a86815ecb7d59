//! One table of a file, read key by key.

use super::field::Field;
use super::problem::{Page, Problem, Reported, shown};
use super::unknown::{Stray, Visited};
use std::fmt;
use std::ops::Range;
use toml::de::DeTable;

/// A key a table may hold, with a value as it would be typed, for the remedies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Key {
    pub name: &'static str,
    pub example: &'static str,
}

impl Key {
    /// `example` is TOML: text in its quotes, figures bare.
    pub const fn new(name: &'static str, example: &'static str) -> Self {
        Self { name, example }
    }

    /// Whether a list belongs there.
    pub(super) fn is_list(self) -> bool {
        self.example.starts_with('[') && !self.is_header()
    }

    /// Whether the example is a table's header rather than a value.
    fn is_header(self) -> bool {
        self.example.starts_with('[') && self.example.trim_start_matches('[').starts_with(char::is_alphabetic)
    }
}

impl fmt::Display for Key {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_header() {
            write!(f, "{} with its own lines below it", self.example)
        } else {
            write!(f, "{} = {}", self.name, self.example)
        }
    }
}

/// Where in a file a table is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Place {
    Top,
    /// `[path]`
    Header(String),
    /// `[[path]]`, one of several.
    Repeated(String),
    /// `key = { … }`
    Braces(String),
}

impl Place {
    /// The place of a table found under `name` in this one.
    pub(super) fn below(&self, name: &str, braces: bool, repeated: bool) -> Place {
        let path = match self {
            Place::Top => name.to_owned(),
            Place::Header(path) | Place::Repeated(path) | Place::Braces(path) => format!("{path}.{name}"),
        };
        match (braces, repeated) {
            (true, _) => Place::Braces(path),
            (false, true) => Place::Repeated(path),
            (false, false) => Place::Header(path),
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Top => f.write_str("at the top of the file"),
            Place::Header(path) => write!(f, "in [{path}]"),
            Place::Repeated(path) => write!(f, "in [[{path}]]"),
            Place::Braces(path) => write!(f, "in the braces of '{path}'"),
        }
    }
}

/// A table of the file. Every key asked for is remembered; what is left over in the end is reported.
#[derive(Debug)]
pub struct Table<'d> {
    page: &'d Page<'d>,
    entries: &'d DeTable<'d>,
    span: Range<usize>,
    place: Place,
    known: Vec<Key>,
    missing: Vec<(Vec<Key>, Problem)>,
    /// False once nobody can tell which keys belong here.
    judged: bool,
}

impl<'d> Table<'d> {
    /// Reads `entries` with `read`, then leaves the table: keys nobody asked for are noted for the report.
    pub(super) fn visit<T>(
        page: &'d Page<'d>,
        entries: &'d DeTable<'d>,
        span: Range<usize>,
        place: Place,
        read: impl FnOnce(&mut Table<'d>) -> Result<T, Reported>,
    ) -> Result<T, Reported> {
        let mut table = Table { page, entries, span, place, known: Vec::new(), missing: Vec::new(), judged: true };
        let outcome = read(&mut table);
        table.leave();
        outcome
    }

    fn leave(self) {
        let known_name = |name: &str| self.known.iter().any(|key| key.name == name);
        let strays = self
            .entries
            .iter()
            .filter(|(name, _)| self.judged && !known_name(name.get_ref()))
            .map(|(name, value)| Stray {
                name: name.get_ref().to_string(),
                span: name.span(),
                value: shown(self.page.slice(&value.span())),
            })
            .collect();
        self.page.leave(Visited { place: self.place, known: self.known, missing: self.missing, strays });
    }

    /// The table's header, or its braces; empty at the start for the file itself.
    pub fn span(&self) -> Range<usize> {
        self.span.clone()
    }

    fn field(&mut self, key: Key) -> Option<Field<'d>> {
        self.known.push(key);
        let (name, value) = self.entries.get_key_value(key.name)?;
        Some(Field::new(self.page, key, name.span(), value, self.place.clone()))
    }

    /// What `read` makes of the key, or `None` where the key is not there.
    pub fn optional<T>(
        &mut self,
        key: Key,
        read: impl FnOnce(Field<'d>) -> Result<T, Reported>,
    ) -> Result<Option<T>, Reported> {
        self.field(key).map(read).transpose()
    }

    /// What `read` makes of the key; a missing key is a problem.
    pub fn required<T>(
        &mut self,
        key: Key,
        read: impl FnOnce(Field<'d>) -> Result<T, Reported>,
    ) -> Result<T, Reported> {
        match self.field(key) {
            Some(field) => read(field),
            None => Err(self.missing(key)),
        }
    }

    /// What `read` makes of a key that decides which others belong here. When it cannot be read, nothing is said of
    /// the keys nobody asked for.
    pub fn deciding<T>(
        &mut self,
        key: Key,
        read: impl FnOnce(Field<'d>) -> Result<T, Reported>,
    ) -> Result<T, Reported> {
        self.required(key, read).inspect_err(|_| self.judged = false)
    }

    /// Reports that `key` should be there. Where it turns out to be there under a wrong name, only that is said.
    pub fn missing(&mut self, key: Key) -> Reported {
        let what = format!("'{}' is missing {}", key.name, self.place);
        let remedy = format!("add {key}");
        self.missing.push((vec![key], Problem::new(self.span(), &what, None, &remedy)));
        Reported::on_leaving()
    }

    /// Reports that one of `keys` should be there. Where one turns out to be there under a wrong name, only that is said.
    pub fn missing_any(&mut self, keys: &[Key], what: &str, remedy: &str) -> Reported {
        self.missing.push((keys.to_vec(), Problem::new(self.span(), what, None, remedy)));
        Reported::on_leaving()
    }

    /// Reports each of `keys` that is there although it has no place in this kind of table.
    pub fn unwanted(&mut self, keys: &[Key], why: &str, remedy: &str) {
        for key in keys {
            // A key that is not there is not noted as known: it would be offered where it is refused.
            if !self.entries.contains_key(key.name) {
                continue;
            }
            if let Some(field) = self.field(*key) {
                let what = format!("'{}' does not belong here: {why}", key.name);
                self.page.report(Problem::new(field.key_span(), &what, Some(&field.written()), remedy));
            }
        }
    }

    /// Records a problem found by comparing values.
    pub fn report(&self, problem: Problem) -> Reported {
        self.page.report(problem)
    }

    /// Records a problem with the value written at `span`.
    pub fn fault(&self, span: Range<usize>, what: &str, remedy: &str) -> Reported {
        self.page.report(self.about(span, what, remedy))
    }

    /// Records that the value written at `span` is odd, which does not stop the file from being used.
    pub fn doubt(&self, span: Range<usize>, what: &str, remedy: &str) {
        self.page.warn(self.about(span, what, remedy));
    }

    fn about(&self, span: Range<usize>, what: &str, remedy: &str) -> Problem {
        let value = self.page.slice(&span).trim_matches(['"', '\'']).to_owned();
        Problem::new(span, what, Some(&value), remedy)
    }

    /// Records something odd that does not stop the file from being used.
    pub fn warn(&self, warning: Problem) {
        self.page.warn(warning);
    }
}

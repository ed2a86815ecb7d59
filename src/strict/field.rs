//! One value of a file, and the ways to read it.

use super::amount;
use super::near::nearest;
use super::problem::{Page, Problem, Reported, shown};
use super::table::{Key, Place, Table};
use crate::text::{MAX_CHARS, PlainText, is_hostile};
use crate::units::UnitError;
use std::ops::{Range, RangeInclusive};
use toml::Spanned;
use toml::de::{DeArray, DeValue};

/// A key of the file with its value, not yet read.
#[derive(Debug, Clone)]
pub struct Field<'d> {
    page: &'d Page<'d>,
    key: Key,
    key_span: Range<usize>,
    value: &'d Spanned<DeValue<'d>>,
    place: Place,
    /// Whether it is one of a list, where `key = value` is not what is written.
    listed: bool,
}

/// Why a text is not what it should be, and what to write instead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mistake {
    pub what: String,
    pub remedy: String,
}

impl<'d> Field<'d> {
    pub(super) fn new(
        page: &'d Page<'d>,
        key: Key,
        key_span: Range<usize>,
        value: &'d Spanned<DeValue<'d>>,
        place: Place,
    ) -> Self {
        Self { page, key, key_span, value, place, listed: false }
    }

    pub fn key(&self) -> Key {
        self.key
    }

    /// The bytes of the key.
    pub fn key_span(&self) -> Range<usize> {
        self.key_span.clone()
    }

    /// The bytes of the value.
    pub fn span(&self) -> Range<usize> {
        self.value.span()
    }

    /// The same value under the name its user knows it by, where it stands in braces as `value`.
    #[must_use]
    pub fn named(self, key: Key) -> Self {
        Self { key, ..self }
    }

    pub fn is_table(&self) -> bool {
        matches!(self.value.get_ref(), DeValue::Table(_))
    }

    /// Whether exactly this word is written there.
    pub fn says(&self, word: &str) -> bool {
        matches!(self.value.get_ref(), DeValue::String(text) if text == word)
    }

    pub(super) fn toml(&self) -> &'d DeValue<'d> {
        self.value.get_ref()
    }

    /// The value as it is repeated in a message: text without its quotes, anything else as written.
    pub(super) fn written(&self) -> String {
        match self.value.get_ref() {
            DeValue::String(text) => shown(text),
            _ => shown(self.page.slice(&self.span())),
        }
    }

    /// Records a problem with this value.
    pub fn problem(&self, what: &str, remedy: &str) -> Reported {
        self.page.report(Problem::new(self.span(), what, Some(&self.written()), remedy))
    }

    /// Records that the value is not even of the right kind.
    pub(super) fn wrong_kind(&self, wanted: &str) -> Reported {
        let found = match self.value.get_ref() {
            DeValue::String(_) => "text",
            DeValue::Integer(_) | DeValue::Float(_) => "a bare figure",
            DeValue::Boolean(_) => "true or false",
            DeValue::Datetime(_) => "a date or time",
            DeValue::Array(_) => "a list",
            DeValue::Table(_) => "a table",
        };
        let what = format!("'{}' is {found} where {wanted} belongs", self.key.name);
        self.problem(&what, &format!("write {}", self.key))
    }

    /// The text between the quotes, on one line and without hidden characters; not empty.
    pub(super) fn raw(&self) -> Result<&'d str, Reported> {
        let DeValue::String(text) = self.value.get_ref() else { return Err(self.wrong_kind("text in quotes")) };
        if let Some(hidden) = text.chars().find(|&c| is_hostile(c)) {
            return Err(self.hidden(hidden));
        }
        if text.trim().is_empty() {
            let what = format!("'{}' is empty", self.key.name);
            return Err(self.problem(&what, &format!("write something, as in {}", self.key)));
        }
        Ok(text)
    }

    fn hidden(&self, hidden: char) -> Reported {
        let whole = self.span();
        // Written as itself it can be pointed at; written as an escape only the text can.
        let span = self.page.slice(&whole).find(hidden).map_or(whole.clone(), |at| {
            let start = whole.start + at;
            start..start + hidden.len_utf8()
        });
        let what = format!("'{}' holds a hidden or control character (U+{:04X})", self.key.name, u32::from(hidden));
        let remedy = "type the text again on one line, with visible characters only";
        self.page.report(Problem::new(span, &what, Some(&self.written()), remedy))
    }

    /// A line of text, [`MAX_CHARS`] characters at most.
    pub fn text(self) -> Result<Spanned<PlainText>, Reported> {
        let raw = self.raw()?;
        let length = raw.trim().chars().count();
        if length > MAX_CHARS {
            let what = format!("'{}' is {length} characters long; {MAX_CHARS} fit", self.key.name);
            return Err(self.problem(&what, &format!("shorten it to {MAX_CHARS} characters, or make two of it")));
        }
        Ok(Spanned::new(self.span(), PlainText::new(raw)))
    }

    /// Text with a form of its own, read by `parse`.
    pub fn parsed<T>(self, parse: impl FnOnce(&str) -> Result<T, Mistake>) -> Result<Spanned<T>, Reported> {
        let value = parse(self.raw()?.trim()).map_err(|mistake| self.problem(&mistake.what, &mistake.remedy))?;
        Ok(Spanned::new(self.span(), value))
    }

    /// One of a closed list of words.
    pub fn choice<T: Copy>(self, words: &[(&'static str, T)]) -> Result<Spanned<T>, Reported> {
        let given = self.raw()?;
        if let Some(&(_, meant)) = words.iter().find(|(word, _)| *word == given) {
            return Ok(Spanned::new(self.span(), meant));
        }
        let name = self.key.name;
        let list: Vec<String> = words.iter().map(|(word, _)| format!("\"{word}\"")).collect();
        let list = list.join(", ");
        let remedy = match nearest(given, words.iter().map(|(word, _)| *word)) {
            Some(word) => format!("write {name} = \"{word}\" (known are {list})"),
            None => format!("write one of {list}"),
        };
        Err(self.problem(&format!("'{name}' is none of the words known here"), &remedy))
    }

    /// A finite number; whole numbers count.
    pub fn number(self) -> Result<Spanned<f64>, Reported> {
        let figure = self.figure()?;
        Ok(Spanned::new(self.span(), figure))
    }

    /// `true` or `false`.
    pub fn truth(self) -> Result<Spanned<bool>, Reported> {
        match self.value.get_ref() {
            DeValue::Boolean(truth) => Ok(Spanned::new(self.span(), *truth)),
            DeValue::String(text) if matches!(text.trim().to_lowercase().as_str(), "false" | "no" | "off") => {
                let what = format!("'{}' is text where true or false belongs", self.key.name);
                Err(self.problem(&what, &format!("write {} = false", self.key.name)))
            }
            DeValue::String(text) if matches!(text.trim().to_lowercase().as_str(), "true" | "yes" | "on") => {
                let what = format!("'{}' is text where true or false belongs", self.key.name);
                Err(self.problem(&what, &format!("write {} = true", self.key.name)))
            }
            _ => Err(self.wrong_kind("true or false")),
        }
    }

    /// A whole number from 1 on: a batch, a layer.
    pub fn count(self) -> Result<Spanned<u32>, Reported> {
        self.whole(1..=u32::MAX)
    }

    /// A whole number within `range`.
    pub fn whole(self, range: RangeInclusive<u32>) -> Result<Spanned<u32>, Reported> {
        let (least, most) = (*range.start(), *range.end());
        let figure = self.figure()?;
        if figure.fract() == 0.0 && (f64::from(least)..=f64::from(most)).contains(&figure) {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "whole and in range, see above"
            )]
            return Ok(Spanned::new(self.span(), figure as u32));
        }
        let range = if most == u32::MAX { least.to_string() } else { format!("{least} to {most}") };
        let what = format!("'{}' must be a whole number from {range}", self.key.name);
        Err(self.problem(&what, &format!("count from {range}, as in {}", self.key)))
    }

    /// A quantity of `units`, by its constructor.
    pub fn quantity<T>(self, new: impl FnOnce(f64) -> Result<T, UnitError>) -> Result<Spanned<T>, Reported> {
        self.judged(new, |_| Ok(()))
    }

    /// A quantity of `units` that `judge` may still refuse in this place; its words go before the constructor's.
    pub fn judged<T>(
        self,
        new: impl FnOnce(f64) -> Result<T, UnitError>,
        judge: impl FnOnce(f64) -> Result<(), Mistake>,
    ) -> Result<Spanned<T>, Reported> {
        let figure = self.figure()?;
        judge(figure).map_err(|mistake| self.problem(&mistake.what, &mistake.remedy))?;
        let value = new(figure).map_err(|error| {
            let what = format!("'{}' must be {}", self.key.name, error.expected());
            self.problem(&what, &format!("write {}, as in {}", error.expected(), self.key))
        })?;
        Ok(Spanned::new(self.span(), value))
    }

    fn figure(&self) -> Result<f64, Reported> {
        let parsed = match self.value.get_ref() {
            DeValue::Integer(whole) if whole.radix() != 10 => {
                i64::from_str_radix(whole.as_str(), whole.radix()).ok().map(|whole| whole as f64)
            }
            DeValue::Integer(whole) => whole.as_str().parse().ok(),
            DeValue::Float(float) => float.as_str().parse().ok(),
            DeValue::String(text) => return Err(self.quoted(text)),
            _ => return Err(self.wrong_kind("a bare figure")),
        };
        parsed.filter(|figure: &f64| figure.is_finite()).ok_or_else(|| {
            let what = format!("'{}' is not a finite number", self.key.name);
            self.problem(&what, &format!("write a plain figure, as in {}", self.key))
        })
    }

    /// A figure in quotes, perhaps with a unit behind it: says which bare figure belongs there.
    fn quoted(&self, text: &str) -> Reported {
        let name = self.key.name;
        let unit = amount::of_key(name);
        match (amount::split(text), unit) {
            (Some((figure, word)), _) if word.is_empty() => {
                self.problem(&format!("'{name}' is in quotes; a figure stands bare"), &self.rewritten(figure))
            }
            (Some((figure, word)), Some(unit)) => match amount::convert_word(figure, &word, unit) {
                Some(meant) => self.problem(
                    &format!("'{name}' takes a bare figure: the key already says {}", unit.symbol),
                    &self.rewritten(meant),
                ),
                None => self.wrong_kind(&format!("a bare figure in {}", unit.symbol)),
            },
            _ => self.wrong_kind("a bare figure"),
        }
    }

    fn rewritten(&self, figure: f64) -> String {
        let figure = amount::typed(figure);
        if self.listed { format!("write {figure} in its place") } else { format!("write {} = {figure}", self.key.name) }
    }

    /// The same list, if it is as long as `length` allows; anything else than a list is let through.
    pub fn counted(self, length: RangeInclusive<usize>) -> Result<Self, Reported> {
        let DeValue::Array(items) = self.value.get_ref() else { return Ok(self) };
        let (items, most): (&'d DeArray<'d>, usize) = (items, *length.end());
        if items.len() < *length.start() {
            let what = format!("'{}' is an empty list", self.key.name);
            return Err(self.problem(&what, &format!("write at least one, as in {}", self.key)));
        }
        match items.get(most) {
            None => Ok(self),
            Some(first) => {
                let what =
                    format!("this is one '{}' too many: {most} fit, and there are {}", self.key.name, items.len());
                let remedy = "take some out, or make two files of it";
                Err(self.page.report(Problem::new(first.span(), &what, None, remedy)))
            }
        }
    }

    /// A list of lines of text, at least one.
    pub fn texts(self) -> Result<Vec<PlainText>, Reported> {
        self.counted(1..=usize::MAX)?.list("a list of texts", |item| item.text().map(Spanned::into_inner))
    }

    /// A table, read by `read`; keys `read` did not ask for are reported.
    pub fn table<T>(self, read: impl FnOnce(&mut Table<'d>) -> Result<T, Reported>) -> Result<T, Reported> {
        self.enter(false, read)
    }

    /// A list of tables, each read by `read`. All are read, even when an earlier one is bad.
    pub fn tables<T>(self, mut read: impl FnMut(&mut Table<'d>) -> Result<T, Reported>) -> Result<Vec<T>, Reported> {
        self.list("a list of tables", |item| item.enter(true, &mut read))
    }

    fn enter<T>(self, repeated: bool, read: impl FnOnce(&mut Table<'d>) -> Result<T, Reported>) -> Result<T, Reported> {
        let DeValue::Table(entries) = self.value.get_ref() else { return Err(self.wrong_kind("a table")) };
        let braces = self.page.slice(&self.span()).starts_with('{');
        let place = self.place.below(self.key.name, braces, repeated);
        Table::visit(self.page, entries, self.span(), place, read)
    }

    /// A list, each value read by `read`; `wanted` names it for who has written something else. All are read, even when
    /// an earlier one is bad.
    pub fn list<T>(
        self,
        wanted: &str,
        mut read: impl FnMut(Field<'d>) -> Result<T, Reported>,
    ) -> Result<Vec<T>, Reported> {
        let DeValue::Array(items) = self.value.get_ref() else { return Err(self.wrong_kind(wanted)) };
        let items: &'d DeArray<'d> = items;
        let read_all: Vec<Result<T, Reported>> = items
            .iter()
            .map(|value| {
                let place = self.place.clone();
                read(Field { listed: true, ..Field::new(self.page, self.key, self.key_span(), value, place) })
            })
            .collect();
        read_all.into_iter().collect()
    }
}

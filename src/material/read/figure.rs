//! A figure with its origin: bare, or as `{ value = 13, from = "label" }`.

use crate::material::{Figure, Provenance};
use crate::strict::{Field, Key, Problem, Reported, Spanned, Table};
use crate::units::UnitError;
use std::cell::Cell;

const FROM: Key = Key::new("from", "\"label\"");
const FROM_WORDS: [(&str, Provenance); 3] = [
    (Provenance::CommonPractice.words(), Provenance::CommonPractice),
    (Provenance::Label.words(), Provenance::Label),
    (Provenance::Learned.words(), Provenance::Learned),
];

/// Where the bare figures of a table come from: its own `from`, else the one at the top of the file.
pub(super) struct Origin<'r> {
    default: Result<Option<Provenance>, Reported>,
    /// The whole file is told once that no origin is given, not once a figure.
    told: &'r Cell<Option<Reported>>,
}

impl<'r> Origin<'r> {
    /// The origin of the figures that stand at the top of the file.
    pub fn of_file(top: &mut Table<'_>, told: &'r Cell<Option<Reported>>) -> Self {
        Self { default: given(top), told }
    }

    /// The origin of the figures in `table`.
    pub fn within(&self, table: &mut Table<'_>) -> Self {
        let default = match given(table) {
            Ok(None) => self.default,
            own => own,
        };
        Self { default, told: self.told }
    }

    /// A quantity with its origin.
    pub fn quantity<T>(
        &self,
        field: Field<'_>,
        new: impl FnOnce(f64) -> Result<T, UnitError>,
    ) -> Result<Spanned<Figure<T>>, Reported> {
        self.figure(field, |field| field.quantity(new))
    }

    /// Any value with its origin, the value read by `read`.
    pub fn figure<'d, T>(
        &self,
        field: Field<'d>,
        read: impl FnOnce(Field<'d>) -> Result<Spanned<T>, Reported>,
    ) -> Result<Spanned<Figure<T>>, Reported> {
        let key = field.key();
        if !field.is_table() {
            let from = self.resolve(|| field.problem(NO_ORIGIN, ADD_ORIGIN));
            return join(read(field), from);
        }
        field.table(|braces| {
            let value = braces.required(Key::new("value", key.example), |field| read(field.named(key)));
            let from = match given(braces) {
                Ok(None) => self.resolve(|| braces.report(Problem::new(braces.span(), NO_ORIGIN, None, ADD_ORIGIN))),
                Ok(Some(own)) => Ok(own),
                Err(reported) => Err(reported),
            };
            join(value, from)
        })
    }

    fn resolve(&self, tell: impl FnOnce() -> Reported) -> Result<Provenance, Reported> {
        self.default?.ok_or_else(|| {
            let reported = self.told.get().unwrap_or_else(tell);
            self.told.set(Some(reported));
            reported
        })
    }
}

const NO_ORIGIN: &str = "nothing says where this figure comes from";
const ADD_ORIGIN: &str = "add from = \"label\" (or \"common practice\", or \"learned\") at the top of the file";

fn join<T>(
    value: Result<Spanned<T>, Reported>,
    from: Result<Provenance, Reported>,
) -> Result<Spanned<Figure<T>>, Reported> {
    let (value, from) = (value?, from?);
    Ok(Spanned::new(value.span(), Figure { value: value.into_inner(), from }))
}

fn given(table: &mut Table<'_>) -> Result<Option<Provenance>, Reported> {
    Ok(table.optional(FROM, |field| field.choice(&FROM_WORDS))?.map(Spanned::into_inner))
}

/// A figure of the trade, for what a file may leave out.
#[expect(clippy::expect_used, reason = "called with constants of this room, which the tests read")]
pub(super) fn usual<T>(value: Result<T, UnitError>) -> Figure<T> {
    Figure { value: value.expect("a constant within its quantity's bounds"), from: Provenance::CommonPractice }
}

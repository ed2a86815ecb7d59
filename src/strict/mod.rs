//! Strict reading of TOML files: every problem at once, each with its place and what to write instead.
//!
//! [`read`] parses a text and hands the top [`Table`] to a reader. The reader asks for keys with
//! [`Table::required`] and [`Table::optional`], and says how to read each with a method of [`Field`]. A failed
//! step has always recorded its [`Problem`] ([`Reported`] proves it), so a reader first reads everything and only
//! then gives up. Keys nobody asked for are problems too, and so are characters that cannot be seen, wherever they stand.

mod amount;
mod duration;
mod field;
mod hidden;
mod near;
mod problem;
mod syntax;
mod table;
mod unknown;

pub use amount::typed;
pub use duration::typed_duration;
pub use field::{Field, Mistake};
pub use near::nearest;
pub use problem::{Problem, Reported};
pub use table::{Key, Table};
pub use toml::Spanned;

use problem::Page;
use table::Place;
use toml::de::DeTable;

/// What a file says, and what is odd about it without being wrong.
#[derive(Debug, Clone, PartialEq)]
pub struct Read<T> {
    pub value: T,
    pub warnings: Vec<Problem>,
}

/// Reads `source` as TOML with `read`. The problems are in the order of the file, and at least one.
pub fn read<T>(
    source: &str,
    read: impl FnOnce(&mut Table<'_>) -> Result<T, Reported>,
) -> Result<Read<T>, Vec<Problem>> {
    let hidden = hidden::problems(source);
    let (document, errors) = DeTable::parse_recoverable(source);
    if !errors.is_empty() {
        return Err(syntax::problems(source, &errors, hidden));
    }
    let page = Page::new(source);
    let outcome = Table::visit(&page, document.get_ref(), 0..0, Place::Top, |table| read(table));
    let (problems, warnings) = page.close(hidden);
    match outcome {
        Ok(value) if problems.is_empty() => Ok(Read { value, warnings }),
        _ => Err(problems),
    }
}

#[cfg(test)]
mod tests;

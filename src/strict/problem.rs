//! A problem in a file, and the sink that collects them all.

use super::unknown::Visited;
use crate::text::printable;
use std::cell::RefCell;
use std::ops::Range;

/// Longest piece of a bad value that is shown again, in characters.
const SHOWN_CHARS: usize = 60;

/// Something wrong in a file: where, what, the value, and what to write instead. Every text in it is safe to show.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Bytes of the source, never reversed; may be empty.
    pub span: Range<usize>,
    pub what: String,
    /// The value as it was written, shortened; `None` where something is missing.
    pub value: Option<String>,
    /// What to write instead.
    pub remedy: String,
}

impl Problem {
    /// Keeps the printable part of each text; `value` is cut to 60 characters.
    pub fn new(span: Range<usize>, what: &str, value: Option<&str>, remedy: &str) -> Self {
        Self { span, what: printable(what), value: value.map(shown), remedy: printable(remedy) }
    }
}

/// `raw` as it is repeated in a message: printable, on one line, 60 characters at most.
pub(super) fn shown(raw: &str) -> String {
    let clean = printable(raw.trim());
    match clean.char_indices().nth(SHOWN_CHARS) {
        Some((end, _)) => format!("{}…", &clean[..end]),
        None => clean,
    }
}

/// Proof that a problem has been recorded: only recording one makes it, so a reader cannot fail without a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Reported(());

impl Reported {
    /// For a problem that is recorded when its table is left.
    pub(super) fn on_leaving() -> Self {
        Self(())
    }
}

/// The file being read and what was found wrong in it so far.
#[derive(Debug)]
pub(super) struct Page<'d> {
    pub source: &'d str,
    problems: RefCell<Vec<Problem>>,
    warnings: RefCell<Vec<Problem>>,
    visited: RefCell<Vec<Visited>>,
}

impl<'d> Page<'d> {
    pub fn new(source: &'d str) -> Self {
        Self { source, problems: RefCell::default(), warnings: RefCell::default(), visited: RefCell::default() }
    }

    pub fn report(&self, problem: Problem) -> Reported {
        self.problems.borrow_mut().push(problem);
        Reported(())
    }

    pub fn warn(&self, warning: Problem) {
        self.warnings.borrow_mut().push(warning);
    }

    pub fn leave(&self, visited: Visited) {
        self.visited.borrow_mut().push(visited);
    }

    /// The source under `span`; empty where the span leaves it.
    pub fn slice(&self, span: &Range<usize>) -> &'d str {
        self.source.get(span.clone()).unwrap_or_default()
    }

    /// Problems and warnings in the order of the file, unknown keys among them, and of `hidden` those at places of which
    /// nothing better was said.
    pub fn close(self, mut hidden: Vec<Problem>) -> (Vec<Problem>, Vec<Problem>) {
        let mut problems = self.problems.into_inner();
        hidden.retain(|hidden| problems.iter().all(|problem| problem.span != hidden.span));
        problems.extend(hidden);
        problems.extend(super::unknown::problems(&self.visited.into_inner()));
        let mut warnings = self.warnings.into_inner();
        for list in [&mut problems, &mut warnings] {
            list.sort_by_key(|problem| problem.span.start);
        }
        (problems, warnings)
    }
}

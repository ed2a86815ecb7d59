//! Bad files of ours: a good one with one piece of it written wrongly, and what has to be said of that.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use nightpour::cli::problems::{Drawing, Place, Weight, render};
use nightpour::strict::Problem;
use proptest::prelude::*;
use serde::Deserialize;

/// The good files, by the names the cases call them.
pub type Bases = &'static [(&'static str, &'static str)];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// One bad file: `base` with the first `replace` written as `with`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    /// In a few words, where the figures alone do not say it.
    shows: Option<String>,
    base: String,
    replace: String,
    with: String,
    /// Line and column of the one problem.
    at: (usize, usize),
    value: Option<String>,
    what: String,
    remedy: String,
}

/// Holds every case in `files` against what `refused` says of it, and counts at least `least` of them.
pub fn check_cases(files: &[&str], bases: Bases, least: usize, refused: impl Fn(&str) -> Vec<Problem>) {
    let mut count = 0;
    let mut failures = Vec::new();
    for case in files.iter().flat_map(|file| toml::from_str::<Cases>(file).unwrap().case) {
        count += 1;
        let (_, base) = bases.iter().find(|(name, _)| *name == case.base).unwrap();
        assert!(base.contains(&case.replace), "nothing to replace: {}", case.replace);
        let source = base.replacen(&case.replace, &case.with, 1);
        let problems = refused(&source);
        if let Some(failure) = failure(&case, &source, &problems) {
            failures.push(format!("{}\n{}\n{failure}", case.shows.as_deref().unwrap_or_default(), case.with));
        }
    }
    assert!(failures.is_empty(), "{} of {count} cases fail:\n{}", failures.len(), failures.join("\n"));
    assert!(count >= least, "{count}");
}

fn failure(case: &Case, source: &str, problems: &[Problem]) -> Option<String> {
    let [problem] = problems else { return Some(format!("{problems:#?}")) };
    let place = Place::of(source, problem.span.start);
    let right = (place.line, place.column) == case.at
        && problem.value == case.value
        && problem.what.contains(&case.what)
        && problem.remedy.contains(&case.remedy);
    let shown = render("my own.toml", source, problems, Weight::Problem, Drawing::Ascii);
    let first = shown.lines().next().unwrap_or_default();
    let located = first.contains(&format!("my own.toml:{}:{}: {}", place.line, place.column, problem.what));
    let harmless = !shown.contains(['\u{1b}', '\u{202e}']);
    (!(right && located && harmless)).then(|| format!("{place:?} {problem:#?}\n{shown}"))
}

/// The lines on which `problems` begin.
pub fn lines_of(source: &str, problems: &[Problem]) -> Vec<usize> {
    problems.iter().map(|problem| Place::of(source, problem.span.start).line).collect()
}

/// One of `bases` with bytes cut out and others put in.
pub fn mutated(bases: Bases) -> impl Strategy<Value = String> {
    let edits = prop::collection::vec((any::<prop::sample::Index>(), 0usize..6, any::<Vec<u8>>()), 1..6);
    (prop::sample::select(bases), edits).prop_map(|((_, base), edits)| {
        let mut bytes = base.as_bytes().to_vec();
        for (index, cut, insert) in edits {
            let at = index.index(bytes.len() + 1);
            let end = (at + cut).min(bytes.len());
            bytes.splice(at..end, insert.into_iter().take(8));
        }
        String::from_utf8_lossy(&bytes).into_owned()
    })
}

/// One of `bases` with lines swapped.
pub fn shuffled(bases: Bases) -> impl Strategy<Value = String> {
    let swaps = prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..5);
    (prop::sample::select(bases), swaps).prop_map(|((_, base), swaps)| {
        let mut lines: Vec<&str> = base.lines().collect();
        for (a, b) in swaps {
            let (a, b) = (a.index(lines.len()), b.index(lines.len()));
            lines.swap(a, b);
        }
        lines.join("\n")
    })
}

/// Whatever the text, it is read, or refused with at least one problem that can be shown without harm.
pub fn check_sanity<T>(source: &str, read: Result<T, Vec<Problem>>) -> Result<(), TestCaseError> {
    let Err(problems) = read else { return Ok(()) };
    prop_assert!(!problems.is_empty());
    for drawing in [Drawing::Ascii, Drawing::Unicode] {
        let shown = render("x.toml", source, &problems, Weight::Problem, drawing);
        prop_assert!(shown.lines().next().is_some_and(|line| line.contains("x.toml:")));
        prop_assert!(!shown.chars().any(|c| nightpour::text::is_hostile(c) && c != '\n'), "{shown:?}");
    }
    Ok(())
}

//! Bad profile files: each case must be refused at its place, with its value and with fitting words.
//!
//! The cases are in `tests/bad-profiles/`, all invented. Their lines and columns were counted by a separate script,
//! not taken from the program.

#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test fails by panicking")]

use nightpour::cli::problems::{Drawing, Place, Weight, render};
use nightpour::material::{MaterialId, read_profile};
use nightpour::strict::Problem;
use proptest::prelude::*;
use serde::Deserialize;

const CATALYST: &str = include_str!("bad-profiles/base-catalyst.toml");
const TWO_PART: &str = include_str!("bad-profiles/base-two-part.toml");
const LIGHT: &str = include_str!("bad-profiles/base-light.toml");

const CASES: [&str; 7] = [
    include_str!("bad-profiles/figures.toml"),
    include_str!("bad-profiles/durations.toml"),
    include_str!("bad-profiles/texts-and-words.toml"),
    include_str!("bad-profiles/keys.toml"),
    include_str!("bad-profiles/mixing.toml"),
    include_str!("bad-profiles/cure.toml"),
    include_str!("bad-profiles/stages.toml"),
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

/// One bad profile: `base` with the first `replace` written as `with`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    base: Base,
    replace: String,
    with: String,
    /// Line and column of the one problem.
    at: (usize, usize),
    value: Option<String>,
    what: String,
    remedy: String,
}

#[derive(Clone, Copy, Deserialize)]
#[serde(rename_all = "kebab-case")]
enum Base {
    Catalyst,
    TwoPart,
    Light,
}

impl Base {
    fn source(self) -> &'static str {
        match self {
            Base::Catalyst => CATALYST,
            Base::TwoPart => TWO_PART,
            Base::Light => LIGHT,
        }
    }
}

fn id() -> MaterialId {
    MaterialId::new("invented").unwrap()
}

fn refused(source: &str) -> Vec<Problem> {
    read_profile(id(), source).map(|read| panic!("read as {:?}\n{source}", read.value)).unwrap_err()
}

#[test]
fn the_good_profiles_are_good() {
    for base in [CATALYST, TWO_PART, LIGHT] {
        assert_eq!(read_profile(id(), base).unwrap().warnings, []);
    }
}

#[test]
fn every_bad_profile_is_refused_in_its_place_with_fitting_words() {
    let mut count = 0;
    let mut failures = Vec::new();
    for cases in CASES {
        for case in toml::from_str::<Cases>(cases).unwrap().case {
            count += 1;
            assert!(case.base.source().contains(&case.replace), "nothing to replace: {}", case.replace);
            let source = case.base.source().replacen(&case.replace, &case.with, 1);
            let problems = refused(&source);
            let [problem] = problems.as_slice() else {
                failures.push(format!("{}\n{problems:#?}", case.with));
                continue;
            };
            let place = Place::of(&source, problem.span.start);
            let right = (place.line, place.column) == case.at
                && problem.value == case.value
                && problem.what.contains(&case.what)
                && problem.remedy.contains(&case.remedy);
            if !right {
                failures.push(format!("{}\n{place:?} {problem:#?}", case.with));
            }
            let shown = render("my own.toml", &source, &problems, Weight::Problem, Drawing::Ascii);
            let first = shown.lines().next().unwrap();
            assert!(first.contains(&format!("my own.toml:{}:{}: {}", place.line, place.column, problem.what)));
            assert!(!shown.contains(['\u{1b}', '\u{202e}']), "{shown:?}");
        }
    }
    assert!(failures.is_empty(), "{} of {count} cases fail:\n{}", failures.len(), failures.join("\n"));
    assert!(count >= 90, "{count}");
}

#[test]
fn all_problems_are_told_at_once_in_the_order_of_the_file() {
    let source = CATALYST
        .replace("shrinkage_percent = 7", "shrinkage_percent = \"7 %\"")
        .replace("dose_min_percent = 0.5", "dose_mim_percent = 0.5")
        .replace("ceiling_c = 32", "ceiling_c = inf")
        .replace("after = \"30m\"", "after = 30")
        .replace("layer_min_mm = 3", "layer_min_mm = \"thin\"");
    let lines: Vec<usize> = refused(&source).iter().map(|p| Place::of(&source, p.span.start).line).collect();
    assert_eq!(lines, [5, 10, 22, 31, 49]);
}

#[test]
fn an_unusual_dose_exponent_is_a_warning_only() {
    let source = CATALYST.replace("dose_exponent = 0.9", "dose_exponent = 1.5");
    let read = read_profile(id(), &source).unwrap();
    assert_eq!(read.warnings.len(), 1);
    assert_eq!(Place::of(&source, read.warnings[0].span.start), Place { line: 20, column: 17 });
    assert!(read.warnings[0].what.contains("outside 0.4 to 1.2"));
}

#[test]
fn a_missing_key_under_a_wrong_name_is_told_once() {
    let problems = refused(&CATALYST.replace("summary", "sumary"));
    assert_eq!(problems.len(), 1, "{problems:?}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_mutation_of_a_good_profile_panics(
        base in prop::sample::select(vec![CATALYST, TWO_PART, LIGHT]),
        edits in prop::collection::vec((any::<prop::sample::Index>(), 0usize..6, any::<Vec<u8>>()), 1..6),
    ) {
        let mut bytes = base.as_bytes().to_vec();
        for (index, cut, insert) in edits {
            let at = index.index(bytes.len() + 1);
            let end = (at + cut).min(bytes.len());
            bytes.splice(at..end, insert.into_iter().take(8));
        }
        let source = String::from_utf8_lossy(&bytes);
        check_sanity(&source)?;
    }

    #[test]
    fn no_swap_of_lines_panics(
        base in prop::sample::select(vec![CATALYST, TWO_PART, LIGHT]),
        swaps in prop::collection::vec((any::<prop::sample::Index>(), any::<prop::sample::Index>()), 1..5),
    ) {
        let mut lines: Vec<&str> = base.lines().collect();
        for (a, b) in swaps {
            let (a, b) = (a.index(lines.len()), b.index(lines.len()));
            lines.swap(a, b);
        }
        check_sanity(&lines.join("\n"))?;
    }
}

/// Whatever the text, it is read, or refused with at least one problem that can be shown without harm.
fn check_sanity(source: &str) -> Result<(), TestCaseError> {
    let Err(problems) = read_profile(id(), source) else { return Ok(()) };
    prop_assert!(!problems.is_empty());
    for drawing in [Drawing::Ascii, Drawing::Unicode] {
        let shown = render("x.toml", source, &problems, Weight::Problem, drawing);
        prop_assert!(shown.lines().next().is_some_and(|line| line.contains("x.toml:")));
        prop_assert!(!shown.chars().any(|c| nightpour::text::is_hostile(c) && c != '\n'), "{shown:?}");
    }
    Ok(())
}

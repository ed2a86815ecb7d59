//! How problems in a file are shown: where, what, the line itself with the place marked, and what to write instead.

use crate::fit;
use crate::strict::Problem;
use crate::text::{is_hostile, printable};
use miette::{
    Diagnostic, GraphicalReportHandler, GraphicalTheme, LabeledSpan, MietteError, MietteSpanContents, Severity,
    SourceCode, SourceSpan, SpanContents, ThemeStyles,
};
use std::fmt;
use std::io::{IsTerminal, Write, stderr};
use std::ops::Range;

/// Widest line of advice, in columns.
const ADVICE_WIDTH: usize = 72;

/// More than this nobody reads at once.
const MOST_SHOWN: usize = 40;

/// Which characters the frame around the source line is drawn with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Drawing {
    Unicode,
    /// For files, pipes and terminals without Unicode.
    #[default]
    Ascii,
}

/// Whether the file is refused or only looked at twice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Weight {
    Problem,
    Warning,
}

/// Shows `problems` of the file called `file` with the text `source`, the first 40 of them. The first line of each
/// holds `FILE:LINE:COLUMN`; the source is shown without anything a terminal could take as an order.
pub fn render(file: &str, source: &str, problems: &[Problem], weight: Weight, drawing: Drawing) -> String {
    let harmless = harmless(source);
    let handler = handler(drawing);
    let mut out = String::new();
    for problem in problems.iter().take(MOST_SHOWN) {
        let place = Place::of(source, problem.span.start);
        let shown = Shown { file: printable(file), place, problem, line: OneLine::around(&harmless, problem), weight };
        // A String takes everything; what cannot be drawn is at least said.
        if handler.render_report(&mut out, &shown).is_err() {
            out = format!("{out}{shown}\n  help: {}\n", problem.remedy);
        }
    }
    match problems.len().saturating_sub(MOST_SHOWN) {
        0 => out,
        more => format!("{out}… and {more} more in {}\n", printable(file)),
    }
}

/// Shows `problems` on standard error.
pub(super) fn tell(file: &str, source: &str, problems: &[Problem], weight: Weight) {
    let drawing = if stderr().is_terminal() { Drawing::Unicode } else { Drawing::Ascii };
    // Where the terminal has gone there is nobody to tell.
    let _ = write!(stderr(), "{}", render(file, source, problems, weight, drawing));
}

/// A place in a text as an editor counts it: from 1, columns in characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    pub line: usize,
    pub column: usize,
}

impl Place {
    /// The place of byte `offset` of `source`; the end where `offset` lies behind it.
    pub fn of(source: &str, offset: usize) -> Self {
        let before = &source[..source.floor_char_boundary(offset)];
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        let byte_order_mark = usize::from(line_start == 0 && before.starts_with('\u{feff}'));
        Place {
            line: before.matches('\n').count() + 1,
            column: before[line_start..].chars().count() + 1 - byte_order_mark,
        }
    }
}

/// `source` with a `?` for every byte of a hostile character, so that every offset still holds.
fn harmless(source: &str) -> String {
    let mut shown = String::with_capacity(source.len());
    for c in source.chars() {
        match c {
            '\n' | '\t' => shown.push(c),
            // A line end of the other kind; nothing to point at.
            '\r' => shown.push(' '),
            hostile if is_hostile(hostile) => shown.extend(std::iter::repeat_n('?', hostile.len_utf8())),
            c => shown.push(c),
        }
    }
    shown
}

fn handler(drawing: Drawing) -> GraphicalReportHandler {
    let theme = match drawing {
        Drawing::Unicode => GraphicalTheme::unicode_nocolor(),
        Drawing::Ascii => GraphicalTheme { styles: ThemeStyles::none(), ..GraphicalTheme::ascii() },
    };
    GraphicalReportHandler::new_themed(theme)
        .with_context_lines(0)
        .with_wrap_lines(false)
        .with_links(false)
        .without_syntax_highlighting()
}

/// The one line of a source in which a problem begins.
#[derive(Debug)]
struct OneLine<'s> {
    text: &'s str,
    /// Where the line begins in the source, in bytes.
    start: usize,
    /// From 0.
    number: usize,
    /// The marked bytes, of the source.
    mark: Range<usize>,
}

impl<'s> OneLine<'s> {
    fn around(source: &'s str, problem: &Problem) -> Self {
        let at = source.floor_char_boundary(problem.span.start);
        let start = source[..at].rfind('\n').map_or(0, |newline| newline + 1);
        let text = source[start..].lines().next().unwrap_or_default();
        let end = problem.span.end.clamp(at, at.max(start + text.len()));
        Self { text, start, number: source[..start].matches('\n').count(), mark: at..end }
    }
}

impl SourceCode for OneLine<'_> {
    /// Always the whole line, whichever part of it is asked for.
    fn read_span<'a>(
        &'a self,
        _: &SourceSpan,
        _: usize,
        _: usize,
    ) -> Result<Box<dyn SpanContents<'a> + 'a>, MietteError> {
        let span = SourceSpan::from((self.start, self.text.len()));
        Ok(Box::new(MietteSpanContents::new(self.text.as_bytes(), span, self.number, 0, 1)))
    }
}

/// One problem, as the renderer wants it.
#[derive(Debug)]
struct Shown<'p> {
    file: String,
    place: Place,
    problem: &'p Problem,
    line: OneLine<'p>,
    weight: Weight,
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Place { line, column } = self.place;
        write!(f, "{}:{line}:{column}: {}", self.file, self.problem.what)?;
        match &self.problem.value {
            Some(value) => write!(f, ": '{value}'"),
            None => Ok(()),
        }
    }
}

impl std::error::Error for Shown<'_> {}

impl Diagnostic for Shown<'_> {
    fn severity(&self) -> Option<Severity> {
        Some(match self.weight {
            Weight::Problem => Severity::Error,
            Weight::Warning => Severity::Warning,
        })
    }

    fn help<'a>(&'a self) -> Option<Box<dyn fmt::Display + 'a>> {
        Some(Box::new(fit::wrapped(&self.problem.remedy, ADVICE_WIDTH).join("\n")))
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        Some(&self.line)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        // What is missing at the top of a file has no line to show.
        let Range { start, end } = self.line.mark.clone();
        (self.problem.value.is_some() || start < end)
            .then(|| Box::new(std::iter::once(LabeledSpan::new(None, start, end - start))) as _)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(source: &str, span: Range<usize>, value: Option<&str>) -> String {
        let problem = Problem::new(span, "this is wrong", value, "write it well");
        render("a.toml", source, &[problem], Weight::Problem, Drawing::Ascii)
    }

    #[test]
    fn the_line_is_shown_with_its_place_marked() {
        let source = "name = \"x\"\nfloor_c = \"ü\" # deep\n";
        let start = source.find("\"ü").unwrap();
        insta::assert_snapshot!(shown(source, start..start + 4, Some("ü")), @r#"
          x a.toml:2:11: this is wrong: 'ü'
           ,----
         2 | floor_c = "ü" # deep
           :           ^^^
           `----
          help: write it well
        "#);
    }

    #[test]
    fn columns_count_characters_and_a_byte_order_mark_is_none() {
        assert_eq!(Place::of("äöü = 1", "äöü = ".len()), Place { line: 1, column: 7 });
        assert_eq!(Place::of("\u{feff}a = 1\r\nb", 3), Place { line: 1, column: 1 });
        assert_eq!(Place::of("\u{feff}a = 1\r\nb", 10), Place { line: 2, column: 1 });
        assert_eq!(Place::of("a", 99), Place { line: 1, column: 2 });
    }

    #[test]
    fn hostile_bytes_become_question_marks_and_offsets_hold() {
        let source = "a = \"\u{1b}[2J\u{202e}\" # \u{7f}\r\nb = 1\r\n";
        assert_eq!(harmless(source).len(), source.len());
        let text = shown(source, 4..12, Some("x"));
        assert!(text.contains("a = \"?[2J???\" # ?"), "{text}");
    }

    #[test]
    fn spans_at_and_behind_the_end_are_shown_all_the_same() {
        for source in ["", "a", "a\n", "ü"] {
            for start in 0..5 {
                let text = shown(source, start..start + 3, Some("v"));
                assert!(text.contains("a.toml:") && text.contains("write it well"), "{text}");
            }
        }
    }

    #[test]
    fn what_is_missing_at_the_top_shows_no_line() {
        assert!(!shown("a = 1", 0..0, None).contains("a = 1"));
    }

    #[test]
    fn a_flood_of_problems_is_cut_off() {
        let problem = Problem::new(0..1, "this is wrong", None, "write it well");
        let text = render("a.toml", "abc", &vec![problem; 50], Weight::Problem, Drawing::Ascii);
        assert_eq!(text.matches("this is wrong").count(), MOST_SHOWN);
        assert!(text.ends_with("… and 10 more in a.toml\n"));
    }
}

//! Characters that cannot be seen, and what they could do: steer a terminal, turn a weight around, end a comment early.

use super::problem::Problem;
use crate::text::is_hostile;

/// A file with more of them is no text at all.
const MOST_LINES: usize = 100;

/// One problem for each line with such a character anywhere in it, comments included, at the first of them. Tabs and line
/// ends are none, nor is the byte order mark some editors begin a file with.
pub(super) fn problems(source: &str) -> Vec<Problem> {
    let mut problems = Vec::new();
    let mut start = 0;
    for line in source.split_inclusive('\n') {
        let hidden = |&(at, c): &(usize, char)| {
            is_hostile(c) && !matches!(c, '\n' | '\t' | '\r') && !(c == '\u{feff}' && start + at == 0)
        };
        if let Some((at, c)) = line.char_indices().find(hidden) {
            let at = start + at;
            problems.push(problem(at, c));
        }
        start += line.len();
    }
    problems.truncate(MOST_LINES);
    problems
}

fn problem(at: usize, c: char) -> Problem {
    let what = format!("the line holds a hidden or control character (U+{:04X})", u32::from(c));
    Problem::new(at..at + c.len_utf8(), &what, None, "type the line again, with visible characters only")
}

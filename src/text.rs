//! Text that is safe to show: what comes from files, arguments and other programs passes through here once.
//!
//! A label could otherwise carry an escape sequence into the terminal, or a direction override that makes a
//! weight read backwards.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Longest text kept, in characters: a caution of a few sentences fits, a file pasted by mistake does not.
pub const MAX_CHARS: usize = 400;

/// One line of printable text, at most 400 characters, without control, direction or other invisible characters.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize)]
#[serde(from = "String", into = "String")]
pub struct PlainText(String);

impl PlainText {
    /// Keeps the printable part of `raw`: tabs and line ends become spaces, invisible characters go.
    pub fn new(raw: &str) -> Self {
        let mut kept = printable(raw);
        if let Some((end, _)) = kept.char_indices().nth(MAX_CHARS) {
            kept.truncate(end);
        }
        Self(kept.trim().to_owned())
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }

    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl From<String> for PlainText {
    fn from(raw: String) -> Self {
        Self::new(&raw)
    }
}

impl From<PlainText> for String {
    fn from(text: PlainText) -> String {
        text.0
    }
}

impl fmt::Display for PlainText {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// `raw` without the characters a terminal, a notification or a page could take as an order; any length.
pub fn printable(raw: &str) -> String {
    raw.chars().map(|c| if matches!(c, '\t' | '\n' | '\r') { ' ' } else { c }).filter(|&c| !is_hostile(c)).collect()
}

/// The first of `lines` and how many more there are, where only one can be shown; `None` where there is none.
pub fn first_of(lines: &[impl fmt::Display]) -> Option<String> {
    match lines {
        [] => None,
        [only] => Some(only.to_string()),
        [first, more @ ..] => Some(format!("{first} (and {} more)", more.len())),
    }
}

/// Control characters (C0, C1, DEL) and the invisible format characters that reorder or hide text.
pub fn is_hostile(c: char) -> bool {
    c.is_control()
        || matches!(c,
            '\u{00ad}' | '\u{061c}' | '\u{180e}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{fe00}'..='\u{fe0f}' | '\u{feff}' | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e007f}')
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn escape_sequences_and_direction_overrides_lose_their_teeth() {
        assert_eq!(PlainText::new("\x1b]0;owned\x07pond\u{202e}").as_str(), "]0;ownedpond");
        assert_eq!(PlainText::new("two\nlines").as_str(), "two lines");
    }

    #[test]
    fn long_text_is_cut_at_a_character_boundary() {
        assert_eq!(PlainText::new(&"ü".repeat(900)).as_str().chars().count(), MAX_CHARS);
    }

    #[test]
    fn of_many_lines_the_first_is_told_and_the_others_counted() {
        assert_eq!(first_of(&[] as &[&str]), None);
        assert_eq!(first_of(&["gel"]).as_deref(), Some("gel"));
        assert_eq!(first_of(&["gel", "demould", "full cure"]).as_deref(), Some("gel (and 2 more)"));
    }

    proptest! {
        #[test]
        fn nothing_hostile_survives(raw in any::<String>()) {
            let text = PlainText::new(&raw);
            prop_assert!(!text.as_str().chars().any(is_hostile));
            prop_assert!(text.as_str().chars().count() <= MAX_CHARS);
        }
    }
}

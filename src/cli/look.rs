//! What the terminal at the other end can show.

use crate::cli::problems::Drawing;
use std::env;
use std::io::{IsTerminal, stdout};

/// Characters and colours of what is printed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Look {
    pub drawing: Drawing,
    colour: bool,
}

impl Look {
    /// Plain characters, no colour: for files and pipes.
    pub const PLAIN: Look = Look { drawing: Drawing::Ascii, colour: false };

    /// What standard output can show: nothing but plain characters where it is no terminal, no Unicode where the locale has
    /// none, no colour where `NO_COLOR` says so.
    pub fn of_stdout() -> Self {
        if !stdout().is_terminal() {
            return Self::PLAIN;
        }
        let set = |name| env::var(name).ok().filter(|value| !value.is_empty());
        let locale = ["LC_ALL", "LC_CTYPE", "LANG"].into_iter().find_map(set).unwrap_or_default().to_uppercase();
        let unicode = cfg!(windows) || locale.contains("UTF-8") || locale.contains("UTF8");
        let colour = set("NO_COLOR").is_none() && supports_color::on(supports_color::Stream::Stdout).is_some();
        Self { drawing: if unicode { Drawing::Unicode } else { Drawing::Ascii }, colour }
    }

    /// `text` as what has to be seen; colour only adds to its words.
    pub fn alarming(self, text: &str) -> String {
        if self.colour { format!("\x1b[1;31m{text}\x1b[0m") } else { text.to_owned() }
    }

    /// `text` as what should be seen.
    pub fn warning(self, text: &str) -> String {
        if self.colour { format!("\x1b[1m{text}\x1b[0m") } else { text.to_owned() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_colour_the_words_stay_as_they_are() {
        assert_eq!(Look::PLAIN.alarming("95H"), "95H");
        let colourful = Look { colour: true, ..Look::PLAIN };
        assert!(colourful.alarming("95H").contains("95H") && colourful.alarming("95H").ends_with("\x1b[0m"));
    }
}

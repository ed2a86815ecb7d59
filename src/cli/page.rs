//! A page of text, 80 columns wide and never wider.

use crate::fit::{hanging, padded};
use crate::report::Said;
use unicode_width::UnicodeWidthStr;

/// Columns of a page.
pub(in crate::cli) const WIDTH: usize = 80;

/// Text that grows line by line.
#[derive(Debug, Default)]
pub(super) struct Page(String);

impl Page {
    pub fn line(&mut self, line: &str) {
        self.0.push_str(line.trim_end());
        self.0.push('\n');
    }

    /// The title of a block, after a blank line.
    pub fn title(&mut self, title: &str) {
        self.0.push('\n');
        self.words("", &title.to_uppercase());
    }

    /// `text` wrapped behind `lead`.
    pub fn words(&mut self, lead: &str, text: &str) {
        for line in hanging(lead, text, WIDTH) {
            self.line(&line);
        }
    }

    /// What each is about in a column of its own, the words behind it.
    pub fn said(&mut self, said: &[Said]) {
        let column = said.iter().map(|said| said.about.width()).max().unwrap_or(0).min(WIDTH / 3);
        for Said { about, words } in said {
            // What is about many single layers has a line of its own.
            if about.width() > column {
                self.words("  ", about);
                self.words(&" ".repeat(column + 4), words);
            } else {
                self.words(&format!("  {}  ", padded(about, column)), words);
            }
        }
    }

    pub fn finished(self) -> String {
        self.0
    }
}

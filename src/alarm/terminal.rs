//! The bell and the window title, as the bytes the screen has to write.

use crate::text::PlainText;

/// Rings the terminal's bell (BEL).
pub const BELL: &str = "\x07";

/// Puts the present window and icon title on the terminal's stack (xterm window operation 22;0).
pub const PUSH_TITLE: &str = "\x1b[22;0t";

/// Takes the title back from the terminal's stack (xterm window operation 23;0).
pub const POP_TITLE: &str = "\x1b[23;0t";

/// Longest title set, in characters: tabs and task bars show no more.
const MAX_TITLE_CHARS: usize = 60;

/// Sets window and icon title (OSC 0), ended by ST: a terminal that ignores the sequence would take BEL for a ring.
/// A semicolon, which separates the parts of such a sequence and ends the title in some terminals, becomes a comma.
pub fn title(text: &PlainText) -> String {
    let shown: String = text.as_str().chars().take(MAX_TITLE_CHARS).map(|c| if c == ';' { ',' } else { c }).collect();
    format!("\x1b]0;{}\x1b\\", shown.trim_end())
}

/// Longest notification, in characters: what pops up shows no more.
const MAX_NOTIFICATION_CHARS: usize = 160;

/// Has the terminal itself show a notification (OSC 9, ended by ST), which also reaches it through SSH. A terminal that does
/// not know the sequence shows nothing. Semicolons become commas: "9;4;" would be something else, and they part the fields of
/// other terminals' forms.
pub fn notification(headline: &PlainText, detail: &PlainText) -> String {
    let text = format!("{headline}: {detail}");
    let shown: String = text.chars().take(MAX_NOTIFICATION_CHARS).map(|c| if c == ';' { ',' } else { c }).collect();
    format!("\x1b]9;{}\x1b\\", shown.trim_end())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::num::NonZero;

    #[derive(Default)]
    struct Heard {
        bells: usize,
        titles: Vec<String>,
    }

    impl vt100::Callbacks for Heard {
        fn audible_bell(&mut self, _: &mut vt100::Screen) {
            self.bells += 1;
        }

        fn set_window_title(&mut self, _: &mut vt100::Screen, title: &[u8]) {
            self.titles.push(String::from_utf8_lossy(title).into_owned());
        }
    }

    /// What a terminal of 4 × 80 makes of `bytes`: bells and titles heard, and the text left on its screen.
    fn written(bytes: &str) -> (Heard, String) {
        let [rows, columns] = [4, 80].map(|cells| NonZero::new(cells).unwrap());
        let mut parser = vt100::Parser::new_with_callbacks(rows, columns, 0, Heard::default());
        parser.process(bytes.as_bytes());
        let text = parser.screen().contents();
        (std::mem::take(parser.callbacks_mut()), text)
    }

    #[test]
    fn a_bell_is_one_bell_and_leaves_the_picture_alone() {
        let (heard, text) = written(BELL);
        assert_eq!((heard.bells, heard.titles.len(), text.as_str()), (1, 0, ""));
    }

    #[test]
    fn a_title_reaches_the_terminal_without_ringing_it() {
        let (heard, text) = written(&title(&PlainText::new("Pour layer 2 · Pond with seedheads")));
        assert_eq!(heard.titles, ["Pour layer 2 · Pond with seedheads"]);
        assert_eq!((heard.bells, text.as_str()), (0, ""));
    }

    #[test]
    fn push_and_pop_print_nothing() {
        let (heard, text) = written(&format!("{PUSH_TITLE}{POP_TITLE}"));
        assert_eq!((heard.bells, heard.titles.len(), text.as_str()), (0, 0, ""));
    }

    #[test]
    fn a_long_title_is_cut() {
        let (heard, _) = written(&title(&PlainText::new(&"ü".repeat(80))));
        assert_eq!(heard.titles[0].chars().count(), MAX_TITLE_CHARS);
    }

    #[test]
    fn a_notification_prints_nothing_and_rings_nothing() {
        for text in crate::alarm::testing::HOSTILE {
            let text = PlainText::new(text);
            let bytes = notification(&text, &text);
            let (heard, left) = written(&bytes);
            assert_eq!((heard.bells, heard.titles.len(), left.as_str()), (0, 0, ""), "{bytes:?}");
            assert_eq!((bytes.matches('\x1b').count(), bytes.matches(';').count()), (2, 1));
        }
    }

    proptest! {
        #[test]
        fn no_label_breaks_out_of_a_notification(raw in any::<String>()) {
            let (heard, left) = written(&notification(&PlainText::new(&raw), &PlainText::new(&raw)));
            prop_assert_eq!((heard.bells, heard.titles.len(), left.as_str()), (0, 0, ""));
        }

        #[test]
        fn no_label_breaks_out_of_the_title(raw in any::<String>()) {
            let (heard, text) = written(&title(&PlainText::new(&raw)));
            prop_assert_eq!(heard.titles.len(), 1);
            prop_assert_eq!((heard.bells, text.as_str()), (0, ""));
        }
    }
}

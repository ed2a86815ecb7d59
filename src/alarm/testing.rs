//! Notices for the tests of the channels, invented.

use crate::bench::{AlarmId, BatchId, Insistence, Notice, Urgency};
use crate::material::Stage;
use crate::text::PlainText;
use jiff::Timestamp;

/// Texts that would do harm where they are not taken as text, and what would be left of each if it were taken as an order.
pub(crate) const HOSTILE: [&str; 12] = [
    "\x1b]0;owned\x07",
    "\x1b[2J\x1b[H\x1b[31m",
    "\x1bP+q544e\x1b\\",
    "pond\r\nX-Injected: yes\r\n\r\nbody",
    "$(touch /tmp/owned) `id` ; rm -rf ~ && echo",
    "<b>bold</b><img src=x onerror=alert(1)>&amp;",
    "\u{9b}31m\u{90}\u{9d}",
    "left\u{202e}thgir\u{202c} \u{2066}x\u{2069}",
    "\u{0} \u{7} \u{8} \u{7f} \u{ad}",
    "';\"\\ %s %n {0} ${HOME} %PATH% -rf --help",
    "9;4;1;50;777;notify;title;body",
    "{\"temperature\": 1e999, \"a\": \"\\u001b[0m\"}",
];

pub(crate) fn notice(batch: u32, urgency: Urgency, headline: &str) -> Notice {
    Notice {
        alarm: AlarmId::of(BatchId(batch), Stage::Gel),
        urgency,
        insistence: Insistence::Plain,
        first: true,
        due: Timestamp::UNIX_EPOCH,
        headline: PlainText::new(headline),
        detail: PlainText::new(headline),
    }
}

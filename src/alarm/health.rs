//! The channels by name, and how each is doing.

use crate::text::PlainText;
use std::fmt;

/// A way on which alarms reach somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Channel {
    Desktop,
    Sound,
    Bell,
    Terminal,
    Command,
    Post,
    Mqtt,
}

impl Channel {
    /// The name in the settings and on the screen.
    pub const fn name(self) -> &'static str {
        match self {
            Channel::Desktop => "desktop",
            Channel::Sound => "sound",
            Channel::Bell => "bell",
            Channel::Terminal => "terminal",
            Channel::Command => "command",
            Channel::Post => "post",
            Channel::Mqtt => "mqtt",
        }
    }
}

impl fmt::Display for Channel {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.name())
    }
}

/// How a channel is doing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Doing {
    Works,
    /// Not heard from yet.
    Unknown,
    /// It takes longer than it should.
    Slow,
    Fails,
}

/// What a channel says of itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChannelHealth {
    pub doing: Doing,
    /// How, or why not, in a few words.
    pub words: PlainText,
}

impl ChannelHealth {
    pub(super) fn new(doing: Doing, words: &str) -> Self {
        Self { doing, words: PlainText::new(words) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_worst_comes_last() {
        assert!(Doing::Works < Doing::Unknown && Doing::Slow < Doing::Fails);
    }
}

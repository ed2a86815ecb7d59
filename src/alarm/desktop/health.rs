//! How the desktop channel is doing, in a line for the screen.

use crate::text::PlainText;
use std::{fmt, time::Duration};

/// How long the desktop may take to answer before the channel calls it slow.
pub(super) const LIMIT: Duration = Duration::from_secs(3);

/// The state of the desktop channel; shown as one line of words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Health {
    /// Nobody has answered yet.
    Unknown,
    /// `daemon` shows the alarms; `actions`: it can also take the acknowledgement.
    Works { daemon: PlainText, actions: bool },
    /// Nothing shows alarms here; the next alarm tries again.
    Unreachable { reason: PlainText },
    /// No answer within 3 s; `waiting` alarms are not shown yet and will be as soon as it answers.
    Slow { waiting: usize },
}

impl fmt::Display for Health {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Health::Unknown => f.write_str("desktop: not heard from yet"),
            Health::Works { daemon, actions: true } => {
                write!(f, "desktop: alarms shown by '{daemon}', a click there acknowledges")
            }
            Health::Works { daemon, actions: false } => {
                write!(f, "desktop: alarms shown by '{daemon}', acknowledge them here")
            }
            Health::Unreachable { reason } => write!(f, "desktop: {reason}; screen and bell only"),
            Health::Slow { waiting } => {
                write!(f, "desktop: no answer for {} s", LIMIT.as_secs())?;
                match waiting {
                    0 => {}
                    1 => f.write_str(", 1 alarm not shown")?,
                    n => write!(f, ", {n} alarms not shown")?,
                }
                f.write_str("; screen and bell only")
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_state_has_its_line() {
        let daemon = PlainText::new("hallway\x1b[31m");
        let lines = [
            Health::Unknown,
            Health::Works { daemon: daemon.clone(), actions: true },
            Health::Works { daemon, actions: false },
            Health::Unreachable { reason: PlainText::new("no session bus here") },
            Health::Slow { waiting: 0 },
            Health::Slow { waiting: 1 },
            Health::Slow { waiting: 2 },
        ]
        .map(|health| health.to_string());
        assert_eq!(
            lines,
            [
                "desktop: not heard from yet",
                "desktop: alarms shown by 'hallway[31m', a click there acknowledges",
                "desktop: alarms shown by 'hallway[31m', acknowledge them here",
                "desktop: no session bus here; screen and bell only",
                "desktop: no answer for 3 s; screen and bell only",
                "desktop: no answer for 3 s, 1 alarm not shown; screen and bell only",
                "desktop: no answer for 3 s, 2 alarms not shown; screen and bell only",
            ]
        );
    }
}

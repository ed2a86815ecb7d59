//! A rehearsal without a screen: the same bench, the same notebook, virtual time that jumps from one event to the next.

use super::script::Script;
use crate::bench::{Bench, Effect, Event, entry_words};
use crate::session::Session;
use jiff::Timestamp;

/// One line of the night.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// Somebody did something.
    Did { at: Timestamp, words: String },
    /// An alarm rang.
    Rang { at: Timestamp, headline: String, detail: String },
    /// The bench refused something, or had a remark.
    Said { at: Timestamp, words: String },
}

/// Plays `script` to its end on `session`, telling each line to `tell`.
pub fn play(mut script: Script, session: &mut Session, mut tell: impl FnMut(Line)) {
    let mut now = script.starts;
    loop {
        let tick = session.bench().next_tick().map(|at| at.max(now));
        let step = script.next();
        let Some(next) = [tick, step].into_iter().flatten().min().filter(|at| *at <= script.ends) else { return };
        now = next;
        let mut effects = Vec::new();
        if let Some((at, command)) = script.take_due(now) {
            let before = session.bench().log().last();
            effects.extend(session.handle(Event::Command(command), at));
            for words in written_since(session.bench(), before) {
                tell(Line::Did { at, words });
            }
        }
        effects.extend(session.handle(Event::Tick, now));
        for effect in effects {
            match effect {
                Effect::Ring(notice) => tell(Line::Rang {
                    at: now,
                    headline: notice.headline.to_string(),
                    detail: notice.detail.to_string(),
                }),
                Effect::Say { line, .. } => tell(Line::Said { at: now, words: line.to_string() }),
                Effect::Hush(_) | Effect::Write(_) => {}
            }
        }
    }
}

fn written_since(bench: &Bench, before: crate::bench::EntryId) -> Vec<String> {
    let log = bench.log();
    log.tail().filter(|(s, _)| s.id > before).map(|(s, _)| entry_words(&s.entry, log, bench.zone())).collect()
}

//! A rehearsal without a screen: the same bench, the same notebook, virtual time that jumps from one event to the next.

use super::script::Script;
use crate::bench::{AlarmId, Bench, Effect, EntryId, Event, entry_words};
use crate::session::Session;
use jiff::Timestamp;
use std::collections::BTreeMap;

/// One line of the night.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Line {
    /// Somebody did something.
    Did { at: Timestamp, words: String },
    /// An alarm rang for the first time.
    Rang { at: Timestamp, headline: String, detail: String },
    /// An alarm that had rung more than once fell silent.
    Hushed { at: Timestamp, headline: String, rings: u32 },
    /// The bench refused something, or had a remark.
    Said { at: Timestamp, words: String },
}

/// Plays `script` to its end on `session`, telling each line to `tell`.
pub fn play(mut script: Script, session: &mut Session, mut tell: impl FnMut(Line)) {
    let mut now = script.starts;
    let mut ringing: BTreeMap<AlarmId, (u32, String)> = BTreeMap::new();
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
                Effect::Ring(notice) => {
                    let headline = notice.headline.to_string();
                    let rung = ringing.entry(notice.alarm).or_insert((0, headline.clone()));
                    rung.0 += 1;
                    if rung.0 == 1 {
                        tell(Line::Rang { at: now, headline, detail: notice.detail.to_string() });
                    }
                }
                Effect::Hush(alarm) => {
                    if let Some((rings, headline)) = ringing.remove(&alarm).filter(|(rings, _)| *rings > 1) {
                        tell(Line::Hushed { at: now, headline, rings });
                    }
                }
                Effect::Say { line, .. } => tell(Line::Said { at: now, words: line.to_string() }),
                Effect::Write(_) => {}
            }
        }
    }
}

fn written_since(bench: &Bench, before: EntryId) -> Vec<String> {
    let log = bench.log();
    log.tail().filter(|(s, _)| s.id > before).map(|(s, _)| entry_words(&s.entry, log, bench.zone())).collect()
}

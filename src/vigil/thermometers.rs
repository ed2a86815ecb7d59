//! The thermometers of the settings: what is taken of what they say, and how each is doing.

use super::{News, Tell};
use crate::bench::{Entry, NewEntry};
use crate::sense::{Gatekeeper, Sampled, Sources, Verdict};
use crate::settings::Settings;
use crate::text::PlainText;
use jiff::Timestamp;
use std::sync::Arc;

/// One source as it is doing.
#[derive(Debug, Clone, PartialEq)]
pub struct SourceState {
    pub name: PlainText,
    /// Why its last word was not taken; `None` where it was.
    pub trouble: Option<PlainText>,
}

/// What comes of a sample.
pub(super) enum Outcome {
    Nothing,
    Write(NewEntry),
    /// To be said: it has begun to tell what cannot be taken.
    Trouble(PlainText),
}

#[derive(Debug)]
pub(super) struct Thermometers {
    running: Option<Sources>,
    gates: Vec<Gatekeeper>,
    states: Vec<SourceState>,
}

fn without_figures(words: &PlainText) -> String {
    words.as_str().chars().filter(|c| !c.is_ascii_digit()).collect()
}

impl Thermometers {
    /// None of them is read yet.
    pub fn new(settings: &Settings) -> Self {
        let state = |name: &PlainText| SourceState { name: name.clone(), trouble: None };
        Self {
            running: None,
            gates: settings.sources.iter().map(|source| Gatekeeper::new(source.gate)).collect(),
            states: settings.sources.iter().map(|source| state(&source.name)).collect(),
        }
    }

    pub fn states(&self) -> &[SourceState] {
        &self.states
    }

    /// Begins to read them.
    pub fn start(&mut self, settings: &Settings, tell: &Tell) {
        if self.running.is_none() && !settings.sources.is_empty() {
            let tell = Arc::clone(tell);
            let told = move |sampled| tell(News::Sampled(sampled));
            self.running = Some(Sources::start(&settings.sources, settings.broker.as_ref(), told));
        }
    }

    /// Another process reads them.
    pub fn stop(&mut self) {
        self.running = None;
    }

    pub fn take(&mut self, sampled: Sampled, now: Timestamp) -> Outcome {
        let Sampled { source, told } = sampled;
        let (Some(gate), Some(state)) = (self.gates.get_mut(source), self.states.get_mut(source)) else {
            return Outcome::Nothing;
        };
        let verdict = match told {
            Ok(sample) => gate.judge(sample, now),
            Err(why) => Verdict::Refused(why),
        };
        match verdict {
            Verdict::Refused(why) => {
                // Said once, not with every reading that is refused for the same reason, whatever its figures.
                let news = state.trouble.as_ref().is_none_or(|before| without_figures(before) != without_figures(&why));
                let line = PlainText::new(&format!("{}: {why}", state.name));
                state.trouble = Some(why);
                if news { Outcome::Trouble(line) } else { Outcome::Nothing }
            }
            Verdict::Known => {
                state.trouble = None;
                Outcome::Nothing
            }
            Verdict::Write(sample) => {
                state.trouble = None;
                let (celsius, humidity, source) = (sample.celsius, sample.humidity, state.name.clone());
                Outcome::Write(NewEntry { happened: now, entry: Entry::Reading { celsius, humidity, source } })
            }
        }
    }
}

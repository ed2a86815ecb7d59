//! The sources that are read by themselves, each on a thread of its own: one that hangs holds up nothing.

use super::sample::{self, Sample};
use super::topics;
use crate::limited::{self, Job};
use crate::settings::{Broker, Form, Origin, SourceSettings};
use crate::text::PlainText;
use std::io::Read;
use std::path::Path;
use std::sync::{Arc, Weak};
use std::thread;
use std::time::Duration;

/// No thermometer has more to say.
const MOST_BYTES: u64 = 16 * 1024;

/// What a source said, or why it said nothing.
#[derive(Debug, Clone, PartialEq)]
pub struct Sampled {
    /// Its place in the settings, from 0.
    pub source: usize,
    pub told: Result<Sample, PlainText>,
}

/// Where they go; called on the sources' own threads.
pub(super) type Tell = dyn Fn(Sampled) + Send + Sync;

/// The running sources. Dropping it lets each end after what it is doing.
#[derive(Debug)]
pub struct Sources {
    _alive: Arc<()>,
}

impl Sources {
    /// Starts reading all of `sources`.
    pub fn start(
        sources: &[SourceSettings],
        broker: Option<&Broker>,
        tell: impl Fn(Sampled) + Send + Sync + 'static,
    ) -> Self {
        let tell: Arc<Tell> = Arc::new(tell);
        let alive = Arc::new(());
        for (number, source) in sources.iter().enumerate() {
            let form = source.form.clone();
            match source.origin.clone() {
                Origin::File { path, every } => {
                    let read = move || sample_of(&file(&path)?, &form);
                    spawn(number, every, Arc::downgrade(&alive), read, &tell);
                }
                Origin::Command { run, every, within } => {
                    let read = move || sample_of(&printed(&run, within)?, &form);
                    spawn(number, every, Arc::downgrade(&alive), read, &tell);
                }
                Origin::Topic(_) => {}
            }
        }
        if let Some(broker) = broker {
            topics::start(sources, broker, Arc::downgrade(&alive), &tell);
        }
        Self { _alive: alive }
    }
}

/// Reads each of them once, here and now; topics are left out.
pub fn read_once(source: &SourceSettings) -> Option<Result<Sample, PlainText>> {
    match &source.origin {
        Origin::File { path, .. } => Some(file(path).and_then(|text| sample_of(&text, &source.form))),
        Origin::Command { run, within, .. } => {
            Some(printed(run, *within).and_then(|text| sample_of(&text, &source.form)))
        }
        Origin::Topic(_) => None,
    }
}

fn spawn(
    source: usize,
    every: Duration,
    alive: Weak<()>,
    read: impl Fn() -> Result<Sample, PlainText> + Send + 'static,
    tell: &Arc<Tell>,
) {
    let told = Arc::clone(tell);
    let work = move || {
        while alive.strong_count() > 0 {
            told(Sampled { source, told: read() });
            thread::sleep(every);
        }
    };
    if let Err(why) = thread::Builder::new().name(format!("source-{source}")).spawn(work) {
        tell(Sampled { source, told: Err(PlainText::new(&format!("no thread could be started ({why})"))) });
    }
}

pub(super) fn sample_of(text: &str, form: &Form) -> Result<Sample, PlainText> {
    sample::read(text, form).map_err(|why| PlainText::new(&why.to_string()))
}

fn file(path: &Path) -> Result<String, PlainText> {
    let read = || -> std::io::Result<String> {
        let mut bytes = Vec::new();
        std::fs::File::open(path)?.take(MOST_BYTES).read_to_end(&mut bytes)?;
        Ok(String::from_utf8_lossy(&bytes).into_owned())
    };
    read().map_err(|why| PlainText::new(&format!("'{}' cannot be read ({why})", path.display())))
}

fn printed(run: &[String], within: Duration) -> Result<String, PlainText> {
    limited::run(Job { run, variables: &[], input: "", within }).map_err(|why| PlainText::new(&why.to_string()))
}

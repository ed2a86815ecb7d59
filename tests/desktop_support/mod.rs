//! What both tests of the desktop channel need: a notice to ring, and an ear for what comes back.

use nightpour::{
    alarm::{DesktopChannel, DesktopEvent, Health},
    bench::{AlarmId, BatchId, Insistence, Notice, Urgency},
    material::Stage,
    text::PlainText,
};
use std::{
    fs,
    sync::mpsc::{Receiver, channel},
    time::{Duration, Instant},
};

pub fn alarm(batch: u32) -> AlarmId {
    AlarmId::of(BatchId(batch), Stage::NextLayerOpens)
}

pub fn notice(batch: u32, urgency: Urgency, headline: &str) -> Notice {
    Notice {
        alarm: alarm(batch),
        urgency,
        insistence: Insistence::Plain,
        first: true,
        due: jiff::Timestamp::UNIX_EPOCH,
        headline: PlainText::new(headline),
        detail: PlainText::new("Pond with seedheads: 48 g resin & 0.6 g catalyst, window < 2 h"),
    }
}

/// How many threads this process has.
pub fn threads() -> usize {
    fs::read_dir("/proc/self/task").unwrap().count()
}

/// A channel and what it has told so far.
pub struct Desk {
    pub channel: DesktopChannel,
    events: Receiver<DesktopEvent>,
}

impl Desk {
    pub fn open() -> Self {
        let (sender, events) = channel();
        // The test may be over before the channel's last word.
        Self { channel: DesktopChannel::open(move |event| drop(sender.send(event))), events }
    }

    /// The first event that `wanted` accepts, and the wait for it. Panics with what came instead.
    pub fn wait_for(&self, what: &str, wanted: impl Fn(&DesktopEvent) -> bool) -> (DesktopEvent, Duration) {
        let start = Instant::now();
        let mut others = Vec::new();
        while let Some(left) = Duration::from_secs(10).checked_sub(start.elapsed()) {
            match self.events.recv_timeout(left) {
                Ok(event) if wanted(&event) => return (event, start.elapsed()),
                Ok(event) => others.push(event),
                Err(_) => break,
            }
        }
        panic!("no event '{what}' within 10 s, but {others:?}");
    }

    /// As [`Desk::wait_for`], for a state of the channel.
    pub fn wait_for_health(&self, what: &str, wanted: impl Fn(&Health) -> bool) -> (Health, Duration) {
        match self.wait_for(what, |event| matches!(event, DesktopEvent::Health(health) if wanted(health))) {
            (DesktopEvent::Health(health), after) => (health, after),
            (other, _) => panic!("not a state: {other:?}"),
        }
    }
}

//! A machine whose clocks a test moves.

use crate::bench::UptimeClock;
use crate::clock::Clock;
use jiff::{SignedDuration, Timestamp};
use std::sync::{Arc, Mutex};
use std::time::Duration;

/// Seconds shown by the clock, since the machine was started, and slept of those.
#[derive(Clone, Default)]
pub(super) struct Machine(Arc<Mutex<(i64, i64, i64)>>);

impl Machine {
    /// Time passes, awake.
    pub fn pass(&self, s: i64) {
        let mut shown = self.0.lock().unwrap();
        (shown.0, shown.1) = (shown.0 + s, shown.1 + s);
    }

    pub fn sleep(&self, s: i64) {
        self.pass(s);
        self.0.lock().unwrap().2 += s;
    }

    /// Somebody sets the clock.
    pub fn set(&self, by_s: i64) {
        self.0.lock().unwrap().0 += by_s;
    }
}

impl Clock for Machine {
    fn now(&self) -> Timestamp {
        at(self.0.lock().unwrap().0)
    }

    fn real_duration(&self, _: SignedDuration) -> Duration {
        Duration::ZERO
    }

    fn uptime(&self) -> Option<UptimeClock> {
        let uptime = SignedDuration::from_secs(self.0.lock().unwrap().1);
        Some(UptimeClock { boot: "koi".to_owned(), uptime })
    }

    fn slept(&self) -> Option<SignedDuration> {
        Some(SignedDuration::from_secs(self.0.lock().unwrap().2))
    }
}

pub(super) fn at(s: i64) -> Timestamp {
    Timestamp::from_second(1_772_000_000 + s).unwrap()
}

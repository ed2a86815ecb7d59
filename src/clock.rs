//! The only place that reads a clock. Everything else is told the time.

use crate::bench::UptimeClock;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use std::time::{Duration, Instant};

/// Where "now" comes from: the machine's clock, or a rehearsal's.
pub trait Clock: Send + Sync {
    /// The present moment.
    fn now(&self) -> Timestamp;

    /// How long to really sleep so that this clock advances by `ahead`.
    fn real_duration(&self, ahead: SignedDuration) -> Duration;

    /// What the machine's own count of the time shows, which nobody can set; `None` where there is none to be asked.
    fn uptime(&self) -> Option<UptimeClock> {
        None
    }

    /// For how long the machine has slept since it was started; `None` where nobody counts that.
    fn slept(&self) -> Option<SignedDuration> {
        None
    }

    /// The zone the user is in; `None` where that cannot change.
    fn zone(&self) -> Option<TimeZone> {
        None
    }
}

/// The machine's clock: right again after a suspend, because it is asked anew each time.
#[derive(Debug, Clone, Copy, Default)]
pub struct SystemClock;

impl Clock for SystemClock {
    #[expect(clippy::disallowed_methods, reason = "this is the one place where the wall clock is read")]
    fn now(&self) -> Timestamp {
        Timestamp::now()
    }

    fn real_duration(&self, ahead: SignedDuration) -> Duration {
        length_ahead(ahead)
    }

    fn uptime(&self) -> Option<UptimeClock> {
        let (boot, uptime) = (uptime::boot()?, uptime::since_boot()?);
        Some(UptimeClock { boot: boot.to_owned(), uptime })
    }

    fn slept(&self) -> Option<SignedDuration> {
        Some(uptime::since_boot()? - uptime::awake_since_boot()?)
    }

    fn zone(&self) -> Option<TimeZone> {
        Some(TimeZone::system())
    }
}

/// The kernel's clocks that nobody can set.
#[cfg(target_os = "linux")]
mod uptime {
    use jiff::SignedDuration;
    use rustix::time::{ClockId, clock_gettime};
    use std::sync::OnceLock;

    /// Which start of the machine this is.
    pub(super) fn boot() -> Option<&'static str> {
        static BOOT: OnceLock<Option<String>> = OnceLock::new();
        let read = || std::fs::read_to_string("/proc/sys/kernel/random/boot_id").ok().map(|id| id.trim().to_owned());
        BOOT.get_or_init(read).as_deref()
    }

    /// Suspended time included (`CLOCK_BOOTTIME`).
    #[expect(clippy::unnecessary_wraps, reason = "elsewhere there is none")]
    pub(super) fn since_boot() -> Option<SignedDuration> {
        Some(shown(ClockId::Boottime))
    }

    /// Without it (`CLOCK_MONOTONIC`).
    #[expect(clippy::unnecessary_wraps, reason = "elsewhere there is none")]
    pub(super) fn awake_since_boot() -> Option<SignedDuration> {
        Some(shown(ClockId::Monotonic))
    }

    fn shown(clock: ClockId) -> SignedDuration {
        let time = clock_gettime(clock);
        // Under a thousand million by the kernel's promise.
        SignedDuration::new(time.tv_sec, i32::try_from(time.tv_nsec).unwrap_or(0))
    }
}

/// Systems whose clocks are not looked at: there a clock that was set looks like time that has passed.
#[cfg(not(target_os = "linux"))]
mod uptime {
    use jiff::SignedDuration;

    pub(super) fn boot() -> Option<&'static str> {
        None
    }

    pub(super) fn since_boot() -> Option<SignedDuration> {
        None
    }

    pub(super) fn awake_since_boot() -> Option<SignedDuration> {
        None
    }
}

/// A clock that runs `speed` times as fast as the real one, from a moment of its own.
#[derive(Debug, Clone, Copy)]
pub struct RehearsalClock {
    started_real: Instant,
    started_virtual: Timestamp,
    speed: f64,
}

/// A rehearsal must run forwards.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("a rehearsal cannot run at speed '{speed}'. Write a number above 0 and at most 1000000, such as 600")]
pub struct BadSpeed {
    speed: f64,
}

impl RehearsalClock {
    /// Starts now, showing `at`; `speed` is virtual seconds per real second.
    #[expect(clippy::disallowed_methods, reason = "this is the one place where clocks are read")]
    pub fn start(at: Timestamp, speed: f64) -> Result<Self, BadSpeed> {
        if speed > 0.0 && speed <= 1e6 {
            Ok(Self { started_real: Instant::now(), started_virtual: at, speed })
        } else {
            Err(BadSpeed { speed })
        }
    }
}

impl Clock for RehearsalClock {
    fn now(&self) -> Timestamp {
        virtual_now(self.started_virtual, self.started_real.elapsed(), self.speed)
    }

    fn real_duration(&self, ahead: SignedDuration) -> Duration {
        real_wait(ahead, self.speed)
    }
}

/// What a clock shows that started at `started` and ran `speed` times as fast for `elapsed`; stops at the last moment
/// that can be told.
fn virtual_now(started: Timestamp, elapsed: Duration, speed: f64) -> Timestamp {
    SignedDuration::try_from_secs_f64(elapsed.as_secs_f64() * speed)
        .and_then(|ran| started.checked_add(ran))
        .unwrap_or(Timestamp::MAX)
}

/// `ahead`, or nothing for what is past.
fn length_ahead(ahead: SignedDuration) -> Duration {
    Duration::try_from(ahead).unwrap_or(Duration::ZERO)
}

/// The real time in which a clock `speed` times as fast advances by `ahead`: rounded up, or the sleeper would wake before
/// the alarm and have to sleep again; none for what is past.
fn real_wait(ahead: SignedDuration, speed: f64) -> Duration {
    let ahead = length_ahead(ahead);
    if ahead.is_zero() {
        return ahead;
    }
    Duration::try_from_secs_f64(ahead.as_secs_f64() / speed)
        .map_or(Duration::MAX, |wait| wait.saturating_add(Duration::from_nanos(1)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn at(text: &str) -> Timestamp {
        text.parse().unwrap()
    }

    #[test]
    fn a_minute_is_ten_hours_at_six_hundred() {
        let started = at("2026-03-02T21:00:00Z");
        assert_eq!(virtual_now(started, Duration::from_mins(1), 600.0), at("2026-03-03T07:00:00Z"));
        assert_eq!(virtual_now(started, Duration::ZERO, 600.0), started);
        let wait = real_wait(SignedDuration::from_hours(10), 600.0);
        assert_eq!(real_wait(SignedDuration::from_secs(-5), 600.0), Duration::ZERO);
        assert!(wait >= Duration::from_mins(1) && wait < Duration::from_mins(1) + Duration::from_micros(1));
    }

    #[test]
    fn the_machines_clock_sleeps_exactly_as_long() {
        let odd = SignedDuration::new(123_456_789, 123_456_789);
        assert_eq!(SystemClock.real_duration(odd), Duration::new(123_456_789, 123_456_789));
        assert_eq!(SystemClock.real_duration(SignedDuration::from_secs(-5)), Duration::ZERO);
    }

    #[test]
    fn the_far_future_does_not_overflow() {
        assert_eq!(virtual_now(at("2026-03-02T21:00:00Z"), Duration::MAX, 1e6), Timestamp::MAX);
        assert_eq!(real_wait(SignedDuration::MAX, 1e-6), Duration::MAX);
    }

    #[test]
    fn a_rehearsal_runs_forwards() {
        for speed in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            assert!(RehearsalClock::start(Timestamp::UNIX_EPOCH, speed).is_err(), "{speed}");
        }
        let words = RehearsalClock::start(Timestamp::UNIX_EPOCH, 0.0).unwrap_err().to_string();
        assert!(words.contains("'0'") && words.contains("such as 600"), "{words}");
        let clock = RehearsalClock::start(Timestamp::UNIX_EPOCH, 3600.0).unwrap();
        let first = clock.now();
        assert!(first >= Timestamp::UNIX_EPOCH && clock.now() >= first);
    }

    proptest! {
        #[test]
        fn sleeping_as_told_is_enough(seconds in 0.0f64..1e6, speed in 0.1f64..1e4) {
            let started = Timestamp::UNIX_EPOCH;
            let ahead = SignedDuration::from_secs_f64(seconds);
            let woke = virtual_now(started, real_wait(ahead, speed), speed);
            let early = (started + ahead).duration_since(woke);
            prop_assert!(early <= SignedDuration::from_nanos(1), "woke {early:?} early");
        }
    }
}

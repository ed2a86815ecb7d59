//! Sleeping until the machine's clock shows a moment.
//!
//! On Linux this is a timer of the kernel's on that very clock: one wake-up at the moment itself, at once after the
//! machine slept through it, and at once when somebody sets the clock. The runtime's own timers stand still while the
//! machine sleeps, and wake up to three times for one wait (their wheel turns in coarse steps first); they serve where
//! there is nothing better.

use std::time::Duration;

/// Lets the loop sleep.
#[derive(Debug)]
pub(super) struct Sleeper {
    #[cfg(target_os = "linux")]
    timer: Option<linux::Timer>,
}

impl Sleeper {
    /// To be called inside the runtime.
    pub fn new() -> Self {
        Self {
            #[cfg(target_os = "linux")]
            timer: linux::Timer::new().ok(),
        }
    }

    /// Ends after `wait`, or earlier when the clock was set meanwhile.
    #[cfg_attr(not(target_os = "linux"), allow(clippy::unused_self, reason = "only the kernel's timer is kept in it"))]
    pub async fn after(&self, wait: Duration) {
        #[cfg(target_os = "linux")]
        if let Some(timer) = &self.timer
            && timer.after(wait).await.is_ok()
        {
            return;
        }
        tokio::time::sleep(wait).await;
    }
}

#[cfg(target_os = "linux")]
mod linux {
    use crate::clock::{Clock, SystemClock};
    use jiff::{SignedDuration, Timestamp};
    use rustix::io::Errno;
    use rustix::time::{
        Itimerspec, TimerfdClockId, TimerfdFlags, TimerfdTimerFlags, Timespec, timerfd_create, timerfd_settime,
    };
    use std::io;
    use std::os::fd::OwnedFd;
    use std::time::Duration;
    use tokio::io::unix::AsyncFd;

    #[derive(Debug)]
    pub(super) struct Timer(AsyncFd<OwnedFd>);

    impl Timer {
        #[expect(
            deprecated,
            reason = "its successor is unsafe, for types that change their descriptor; an OwnedFd does not"
        )]
        pub fn new() -> io::Result<Self> {
            let flags = TimerfdFlags::NONBLOCK.union(TimerfdFlags::CLOEXEC);
            Ok(Self(AsyncFd::new(timerfd_create(TimerfdClockId::Realtime, flags)?)?))
        }

        pub async fn after(&self, wait: Duration) -> io::Result<()> {
            let wait = SignedDuration::try_from(wait).unwrap_or(SignedDuration::MAX);
            let end = SystemClock.now().checked_add(wait).unwrap_or(Timestamp::MAX);
            if self.set(end)? == Clockwork::SetMeanwhile {
                return Ok(());
            }
            loop {
                let mut guard = self.0.readable().await?;
                let mut rounds = [0; size_of::<u64>()];
                match rustix::io::read(self.0.get_ref(), &mut rounds) {
                    // A moment that an earlier wait left behind.
                    Err(Errno::AGAIN) => guard.clear_ready(),
                    Ok(_) | Err(Errno::CANCELED) => return Ok(()),
                    Err(error) => return Err(error.into()),
                }
            }
        }

        fn set(&self, end: Timestamp) -> io::Result<Clockwork> {
            let it_value = Timespec { tv_sec: end.as_second(), tv_nsec: end.subsec_nanosecond().into() };
            let once = Itimerspec { it_interval: Timespec { tv_sec: 0, tv_nsec: 0 }, it_value };
            let flags = TimerfdTimerFlags::ABSTIME.union(TimerfdTimerFlags::CANCEL_ON_SET);
            match timerfd_settime(self.0.get_ref(), flags, &once) {
                Ok(_) => Ok(Clockwork::Even),
                Err(Errno::CANCELED) => Ok(Clockwork::SetMeanwhile),
                Err(error) => Err(error.into()),
            }
        }
    }

    /// How the clock has run since the last wait.
    #[derive(Debug, Clone, Copy, PartialEq, Eq)]
    enum Clockwork {
        Even,
        SetMeanwhile,
    }
}

#[cfg(test)]
#[allow(clippy::disallowed_methods, reason = "these tests measure real delays")]
mod tests {
    use super::*;
    use std::time::Instant;

    fn in_runtime(work: impl AsyncFnOnce(&Sleeper)) {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
        runtime.block_on(async { work(&Sleeper::new()).await });
    }

    #[test]
    fn it_wakes_at_the_end_and_not_before() {
        in_runtime(async |sleeper| {
            for wait in [Duration::ZERO, Duration::from_millis(30), Duration::from_millis(70)] {
                let start = Instant::now();
                sleeper.after(wait).await;
                assert!(start.elapsed() + Duration::from_millis(2) >= wait, "{wait:?} took {:?}", start.elapsed());
            }
        });
    }

    #[test]
    fn a_wait_given_up_does_not_shorten_the_next() {
        in_runtime(async |sleeper| {
            tokio::select! {
                biased;
                () = sleeper.after(Duration::from_millis(10)) => panic!("nothing was waited for"),
                () = tokio::task::yield_now() => {}
            }
            std::thread::sleep(Duration::from_millis(20));
            let start = Instant::now();
            sleeper.after(Duration::from_millis(60)).await;
            assert!(start.elapsed() >= Duration::from_millis(55), "{:?}", start.elapsed());
        });
    }

    #[test]
    fn an_endless_wait_is_no_error() {
        in_runtime(async |sleeper| {
            tokio::select! {
                () = sleeper.after(Duration::MAX) => panic!("the end of time has come"),
                () = tokio::time::sleep(Duration::from_millis(20)) => {}
            }
        });
    }
}

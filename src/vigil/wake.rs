//! Sleeping for a while of real time, whatever becomes of the machine's clock.
//!
//! On Linux these are timers of the kernel's: one that counts the time since the machine was started, which goes on while it
//! sleeps, so that the loop wakes at the moment itself or at once after the suspend; and one on the machine's clock, which ends
//! at once when somebody sets that. The runtime's own timers stand still while the machine sleeps, and wake up to three times
//! for one wait (their wheel turns in coarse steps first); they serve where there is nothing better.

use std::time::Duration;

/// Lets the loop sleep.
#[derive(Debug)]
pub(crate) struct Sleeper {
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
    use rustix::io::Errno;
    use rustix::time::{
        Itimerspec, TimerfdClockId, TimerfdFlags, TimerfdTimerFlags, Timespec, timerfd_create, timerfd_settime,
    };
    use std::io;
    use std::os::fd::OwnedFd;
    use std::time::Duration;
    use tokio::io::unix::AsyncFd;

    /// Further off than any wait; what the kernel takes at most is about 292 years.
    const FAR_S: i64 = 200 * 366 * 86_400;
    const NONE: Timespec = Timespec { tv_sec: 0, tv_nsec: 0 };

    #[derive(Debug)]
    pub(super) struct Timer {
        elapsed: AsyncFd<OwnedFd>,
        /// Ends when the clock is set, and never else.
        clock_set: AsyncFd<OwnedFd>,
    }

    impl Timer {
        #[expect(
            deprecated,
            reason = "its successor is unsafe, for types that change their descriptor; an OwnedFd does not"
        )]
        pub fn new() -> io::Result<Self> {
            let create = |clock| -> io::Result<AsyncFd<OwnedFd>> {
                let flags = TimerfdFlags::NONBLOCK.union(TimerfdFlags::CLOEXEC);
                AsyncFd::new(timerfd_create(clock, flags)?)
            };
            Ok(Self { elapsed: create(TimerfdClockId::Boottime)?, clock_set: create(TimerfdClockId::Realtime)? })
        }

        pub async fn after(&self, wait: Duration) -> io::Result<()> {
            let far = Itimerspec { it_interval: NONE, it_value: Timespec { tv_sec: FAR_S, tv_nsec: 0 } };
            let watch = TimerfdTimerFlags::ABSTIME.union(TimerfdTimerFlags::CANCEL_ON_SET);
            match timerfd_settime(self.clock_set.get_ref(), watch, &far) {
                Ok(_) => {}
                // Set since the last wait.
                Err(Errno::CANCELED) => return Ok(()),
                Err(error) => return Err(error.into()),
            }
            let tv_sec = i64::try_from(wait.as_secs()).unwrap_or(FAR_S).min(FAR_S);
            // A timer of nought is one that is switched off.
            let tv_nsec = i64::from(wait.subsec_nanos()).max(i64::from(tv_sec == 0));
            let once = Itimerspec { it_interval: NONE, it_value: Timespec { tv_sec, tv_nsec } };
            timerfd_settime(self.elapsed.get_ref(), TimerfdTimerFlags::empty(), &once)?;
            tokio::select! {
                ended = ends(&self.elapsed) => ended,
                set = ends(&self.clock_set) => set,
            }
        }
    }

    async fn ends(timer: &AsyncFd<OwnedFd>) -> io::Result<()> {
        loop {
            let mut guard = timer.readable().await?;
            let mut rounds = [0; size_of::<u64>()];
            match rustix::io::read(timer.get_ref(), &mut rounds) {
                // A moment that an earlier wait left behind.
                Err(Errno::AGAIN) => guard.clear_ready(),
                Ok(_) | Err(Errno::CANCELED) => return Ok(()),
                Err(error) => return Err(error.into()),
            }
        }
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

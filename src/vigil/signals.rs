//! What the system asks of the program: to end, to stop, to go on, to fit another size.

/// A request of the system.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Signal {
    /// SIGTERM, SIGHUP, SIGINT: leave, and give the terminal back.
    End,
    /// SIGTSTP from outside; Ctrl-Z itself arrives as a key.
    Stop,
    /// SIGCONT: stopped and continued.
    Continued,
    Resized,
}

#[cfg(unix)]
pub(crate) use unix::Signals;

#[cfg(unix)]
mod unix {
    use super::Signal;
    use rustix::process::Signal as Number;
    use std::io;
    use tokio::signal::unix::{Signal as Stream, SignalKind, signal};

    /// Listens for signals.
    #[derive(Debug)]
    pub struct Signals {
        terminate: Stream,
        hang_up: Stream,
        interrupt: Stream,
        stop: Stream,
        go_on: Stream,
        resize: Stream,
    }

    impl Signals {
        pub fn listen() -> io::Result<Self> {
            let raw = |number: Number| signal(SignalKind::from_raw(number.as_raw()));
            Ok(Self {
                terminate: signal(SignalKind::terminate())?,
                hang_up: signal(SignalKind::hangup())?,
                interrupt: signal(SignalKind::interrupt())?,
                stop: raw(Number::TSTP)?,
                go_on: raw(Number::CONT)?,
                resize: signal(SignalKind::window_change())?,
            })
        }

        pub async fn next(&mut self) -> Signal {
            tokio::select! {
                _ = self.terminate.recv() => Signal::End,
                _ = self.hang_up.recv() => Signal::End,
                _ = self.interrupt.recv() => Signal::End,
                _ = self.stop.recv() => Signal::Stop,
                _ = self.go_on.recv() => Signal::Continued,
                _ = self.resize.recv() => Signal::Resized,
            }
        }
    }
}

#[cfg(not(unix))]
pub(crate) struct Signals;

#[cfg(not(unix))]
impl Signals {
    pub fn listen() -> std::io::Result<Self> {
        Ok(Self)
    }

    pub async fn next(&mut self) -> Signal {
        match tokio::signal::ctrl_c().await {
            Ok(()) => Signal::End,
            Err(_) => std::future::pending().await,
        }
    }
}

//! Keys, read on a thread of their own that sleeps in the kernel until one arrives.
//!
//! The end of input (the terminal is gone) is noticed here and means quit: the event library would otherwise read an
//! ended terminal over and over at full speed.

use crossterm::event::{self, Event, KeyEvent, KeyEventKind};
use std::time::Duration;

/// What comes from the terminal.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Input {
    Key(KeyEvent),
    Paste(String),
    Resized,
    /// The terminal is gone.
    Ended,
}

/// Starts reading. `send` says whether anybody still listens. The thread ends with the terminal, or with the process.
pub(super) fn start(send: impl Fn(Input) -> bool + Send + 'static) {
    std::thread::spawn(move || {
        while let Ok(true) = wait() {
            while let Ok(true) = event::poll(Duration::ZERO) {
                let Ok(event) = event::read() else { break };
                let input = match event {
                    Event::Key(key) if key.kind != KeyEventKind::Release => Input::Key(key),
                    Event::Paste(text) => Input::Paste(text),
                    Event::Resize(..) => Input::Resized,
                    _ => continue,
                };
                if !send(input) {
                    return;
                }
            }
        }
        send(Input::Ended);
    });
}

/// Waits for input without a time limit; `Ok(false)` when the terminal has hung up.
#[cfg(unix)]
fn wait() -> std::io::Result<bool> {
    use rustix::event::{PollFd, PollFlags, poll};
    use std::io::IsTerminal;

    let stdin = std::io::stdin();
    let tty;
    let mut fds = if stdin.is_terminal() {
        [PollFd::new(&stdin, PollFlags::IN)]
    } else {
        tty = std::fs::File::open("/dev/tty")?;
        [PollFd::from_borrowed_fd(std::os::fd::AsFd::as_fd(&tty), PollFlags::IN)]
    };
    loop {
        match poll(&mut fds, None) {
            Ok(_) => break,
            Err(rustix::io::Errno::INTR) => {}
            Err(error) => return Err(error.into()),
        }
    }
    Ok(!fds[0].revents().intersects(PollFlags::HUP | PollFlags::ERR | PollFlags::NVAL))
}

/// Waits for input without a time limit.
#[cfg(not(unix))]
fn wait() -> std::io::Result<bool> {
    event::poll(Duration::from_secs(3600)).map(|_| true)
}

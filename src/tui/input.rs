//! Keys, read on a thread of their own that sleeps in the kernel until one arrives.
//!
//! The end of input (the terminal is gone) is watched for on another: the event library would read an ended terminal
//! over and over at full speed and never say so.

use crossterm::event::{self, Event, KeyEvent, KeyEventKind};

/// What comes from the terminal.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Input {
    Key(KeyEvent),
    Paste(String),
    Resized,
    /// The terminal is gone.
    Ended,
}

/// Starts reading. `send` says whether anybody still listens. The threads end with the terminal, or with the process.
pub(super) fn start(send: impl Fn(Input) -> bool + Clone + Send + 'static) {
    #[cfg(unix)]
    watch_for_the_end(send.clone());
    std::thread::spawn(move || {
        // Waiting is left to the event library: it looks at a change of size and at keys together, and loses the one
        // that was there first if it is asked for the other only.
        while let Ok(event) = event::read() {
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
        send(Input::Ended);
    });
}

/// Sends [`Input::Ended`] once the terminal has hung up, or cannot be watched.
#[cfg(unix)]
fn watch_for_the_end(send: impl Fn(Input) -> bool + Send + 'static) {
    std::thread::spawn(move || {
        // Both ways the terminal is of no use any more.
        let _ = wait_for_hang_up();
        send(Input::Ended);
    });
}

#[cfg(unix)]
fn wait_for_hang_up() -> std::io::Result<()> {
    use rustix::event::{PollFd, PollFlags, poll};
    use std::io::IsTerminal;

    let stdin = std::io::stdin();
    let tty;
    // Asked for nothing, it reports the end alone.
    let mut fds = if stdin.is_terminal() {
        [PollFd::new(&stdin, PollFlags::empty())]
    } else {
        tty = std::fs::File::open("/dev/tty")?;
        [PollFd::from_borrowed_fd(std::os::fd::AsFd::as_fd(&tty), PollFlags::empty())]
    };
    loop {
        match poll(&mut fds, None) {
            Ok(_) => return Ok(()),
            Err(rustix::io::Errno::INTR) => {}
            Err(error) => return Err(error.into()),
        }
    }
}

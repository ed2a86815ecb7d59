//! The terminal, always given back: one best-effort restore shared by every way out.

use super::theme::{ColourDepth, Palette};
use crate::alarm::terminal::{POP_TITLE, PUSH_TITLE};
use crossterm::{
    cursor, event,
    terminal::{self, EnterAlternateScreen, LeaveAlternateScreen},
};
use std::io::{self, IsTerminal, Write};
use std::sync::atomic::{AtomicBool, Ordering};

/// Whether the terminal is ours at the moment. Process-wide, because a panic hook has nothing else to look at.
static TAKEN: AtomicBool = AtomicBool::new(false);

/// Holds the terminal; dropping it gives the terminal back.
#[derive(Debug)]
pub(super) struct Guard(());

impl Guard {
    /// Takes the terminal: raw input, second screen, hidden cursor. A panic from here on restores it first.
    pub fn take() -> io::Result<Self> {
        // With a terminal behind the keys alone, the picture would go into a file or a pipe.
        if !io::stdout().is_terminal() {
            return Err(io::Error::other("the output does not go to one"));
        }
        install_panic_hook();
        enter()?;
        Ok(Self(()))
    }
}

impl Drop for Guard {
    fn drop(&mut self) {
        restore();
    }
}

/// Whether a shell with job control started this program and could continue it. Without one nobody would: a terminal
/// opened for this program alone has none.
#[cfg(unix)]
pub(super) fn has_shell() -> bool {
    use rustix::process::{getpgrp, getsid};
    // Such a shell leads the session and keeps each of its jobs in a group of its own.
    getsid(None).is_ok_and(|session| session != getpgrp())
}

/// Where there is no job control, there is no such shell.
#[cfg(not(unix))]
pub(super) fn has_shell() -> bool {
    false
}

/// Gives the terminal back, stops the process as Ctrl-Z does, and takes the terminal again when it is continued.
#[cfg(unix)]
pub(super) fn suspend() -> io::Result<()> {
    restore();
    // The whole job stops, as the shell expects of a foreground program; STOP cannot be caught, so it is sure to.
    rustix::process::kill_current_process_group(rustix::process::Signal::STOP)?;
    enter()
}

/// Where there is no job control, nothing stops.
#[cfg(not(unix))]
pub(super) fn suspend() -> io::Result<()> {
    Ok(())
}

/// Sets the terminal up once more, after something outside may have changed it.
pub(super) fn retake() -> io::Result<()> {
    restore();
    enter()
}

fn enter() -> io::Result<()> {
    // Set first: an error half-way must be undone as well.
    TAKEN.store(true, Ordering::SeqCst);
    terminal::enable_raw_mode()?;
    let mut out = io::stdout();
    out.write_all(PUSH_TITLE.as_bytes())?;
    crossterm::execute!(out, EnterAlternateScreen, event::EnableBracketedPaste, cursor::Hide)
}

/// Gives the terminal back if it is ours. Every step is tried whatever became of the one before.
pub(super) fn restore() {
    if !TAKEN.swap(false, Ordering::SeqCst) {
        return;
    }
    let mut out = io::stdout();
    // A terminal that is gone cannot be restored; there is nobody left to tell.
    let _ = crossterm::queue!(out, terminal::EndSynchronizedUpdate, event::DisableBracketedPaste);
    let _ = crossterm::queue!(out, LeaveAlternateScreen, cursor::Show);
    let _ = out.write_all(POP_TITLE.as_bytes());
    let _ = out.flush();
    let _ = terminal::disable_raw_mode();
}

fn install_panic_hook() {
    static INSTALLED: AtomicBool = AtomicBool::new(false);
    if INSTALLED.swap(true, Ordering::SeqCst) {
        return;
    }
    let before = std::panic::take_hook();
    std::panic::set_hook(Box::new(move |info| {
        // A helper thread that fails (a notification, a watch) must not tear the screen from under the bench; the
        // screen goes on without it.
        if std::thread::current().name() == Some("main") {
            restore();
            before(info);
        }
    }));
}

/// The palette for this terminal.
pub(super) fn detect_palette() -> Palette {
    let depth = match supports_color::on(supports_color::Stream::Stdout) {
        None => ColourDepth::None,
        Some(level) if level.has_256 || level.has_16m => ColourDepth::Many,
        Some(_) => ColourDepth::Sixteen,
    };
    Palette::detect(|key| std::env::var(key).ok(), depth)
}

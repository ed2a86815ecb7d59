//! A program in a real pseudo-terminal, whose output is read as a terminal reads it.

mod process;
mod seen;

use process::sleeps;
pub use process::{Doing, children, doing};
pub use seen::Seen;

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use rustix::process::{Pid, Signal, kill_process};
use rustix::termios::LocalModes;
use std::io::{Read, Write};
use std::num::NonZeroU16;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

/// How long to wait for what must come: far longer than it takes, because a busy machine is no failure.
pub const PATIENCE: Duration = Duration::from_secs(20);
/// How often to look at what cannot tell us of a change.
const LOOK_EVERY: Duration = Duration::from_millis(2);

/// Columns and rows.
#[derive(Debug, Clone, Copy)]
pub struct Size(pub u16, pub u16);

impl Size {
    pub fn columns(self) -> NonZeroU16 {
        NonZeroU16::new(self.0).unwrap()
    }

    pub fn rows(self) -> NonZeroU16 {
        NonZeroU16::new(self.1).unwrap()
    }

    fn pty(self) -> PtySize {
        PtySize { cols: self.0, rows: self.1, pixel_width: 0, pixel_height: 0 }
    }
}

/// How a program ended.
#[derive(Debug)]
pub struct Ended {
    pub code: u32,
    /// The signal that ended it, if one did.
    pub signal: Option<String>,
    pub after: Duration,
}

struct Shared {
    seen: Mutex<Seen>,
    news: Condvar,
    closing: AtomicBool,
}

/// Our end of the terminal.
struct Line {
    writer: Box<dyn Write + Send>,
    master: Box<dyn MasterPty + Send>,
    reader: JoinHandle<()>,
}

/// A terminal with one program in it.
pub struct Screen {
    shared: Arc<Shared>,
    child: Box<dyn Child + Send + Sync>,
    /// The process in the terminal.
    pub pid: Pid,
    size: Size,
    /// `None` once the terminal has vanished.
    line: Option<Line>,
    /// The terminal's settings before the program.
    before: String,
}

impl Screen {
    /// Starts `command` in a new terminal.
    pub fn start(command: CommandBuilder, size: Size) -> Self {
        let pair = native_pty_system().openpty(size.pty()).unwrap();
        let before = format!("{:?}", pair.master.get_termios().unwrap());
        let mut output = pair.master.try_clone_reader().unwrap();
        let shared = Arc::new(Shared {
            seen: Mutex::new(Seen::new(size)),
            news: Condvar::new(),
            closing: AtomicBool::new(false),
        });
        let child = pair.slave.spawn_command(command).unwrap();
        let pid = Pid::from_raw(i32::try_from(child.process_id().unwrap()).unwrap()).unwrap();
        let to = Arc::clone(&shared);
        let reader = thread::spawn(move || read(&mut output, &to));
        let line = Line { writer: pair.master.take_writer().unwrap(), master: pair.master, reader };
        Self { shared, child, pid, size, line: Some(line), before }
    }

    fn line(&self) -> &Line {
        self.line.as_ref().unwrap()
    }

    /// What the terminal shows now.
    pub fn seen(&self) -> MutexGuard<'_, Seen> {
        self.shared.seen.lock().unwrap_or_else(PoisonError::into_inner)
    }

    pub fn contents(&self) -> String {
        self.seen().screen().contents()
    }

    /// Types `keys`.
    pub fn keys(&mut self, keys: &str) {
        let writer = &mut self.line.as_mut().unwrap().writer;
        writer.write_all(keys.as_bytes()).unwrap();
        writer.flush().unwrap();
    }

    /// Waits until a whole frame shows what `is` accepts, and says how long that took.
    #[track_caller]
    pub fn wait_for(&self, what: &str, mut is: impl FnMut(&Seen) -> bool) -> Duration {
        let start = Instant::now();
        let mut seen = self.seen();
        loop {
            if !seen.ear().in_frame && is(&seen) {
                return start.elapsed();
            }
            let left = PATIENCE.checked_sub(start.elapsed());
            let Some(left) = left.filter(|_| !seen.ended) else {
                let ended = if seen.ended { " (the program has ended)" } else { "" };
                panic!("not seen{ended}: {what}, but\n{}", seen.screen().contents());
            };
            seen = self.shared.news.wait_timeout(seen, left).unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// Waits until `words` are on the screen.
    #[track_caller]
    pub fn see(&self, words: &str) -> Duration {
        self.wait_for(words, |seen| seen.screen().contents().contains(words))
    }

    /// Waits until `words` are not on the screen any more.
    #[track_caller]
    pub fn see_gone(&self, words: &str) -> Duration {
        self.wait_for(&format!("'{words}' gone"), |seen| !seen.screen().contents().contains(words))
    }

    /// Gives the window another size, and waits until a frame of that size shows `words`.
    #[track_caller]
    pub fn resize(&mut self, size: Size, words: &str) {
        let before = self.seen().ear().frames;
        self.change_size(size);
        self.wait_for(&format!("{words} at {size:?}"), |seen| {
            seen.ear().frames > before && seen.screen().contents().contains(words)
        });
        self.settle();
    }

    /// Gives the window another size.
    pub fn change_size(&mut self, size: Size) {
        self.size = size;
        self.seen().fit(size);
        self.line().master.resize(size.pty()).unwrap();
    }

    /// Waits until the program has taken in all that has reached it.
    #[track_caller]
    pub fn settle(&self) {
        settle(self.pid);
    }

    /// Makes the terminal a blank one of the same size.
    pub fn wipe(&self) {
        self.seen().wipe(self.size);
    }

    /// Whether the terminal takes lines, with an echo, as a shell expects.
    pub fn is_cooked(&self) -> bool {
        let bits = self.line().master.get_termios().unwrap().local_flags.bits();
        let wanted = LocalModes::ICANON | LocalModes::ECHO | LocalModes::ISIG;
        LocalModes::from_bits_retain(bits).contains(wanted)
    }

    /// What of the terminal is not as it was before the program; nothing where all was given back.
    pub fn left_behind(&self) -> Vec<&'static str> {
        let settings = format!("{:?}", self.line().master.get_termios().unwrap());
        let changed = (settings != self.before).then_some("terminal settings");
        let raw = (!self.is_cooked()).then_some("raw mode");
        self.seen().left_behind().into_iter().chain(raw).chain(changed).collect()
    }

    /// The terminal is as it was before the program, now or as soon as what the program has written is read.
    #[track_caller]
    pub fn assert_given_back(&self) {
        let start = Instant::now();
        while !self.left_behind().is_empty() && start.elapsed() < PATIENCE && !self.seen().ended {
            thread::sleep(LOOK_EVERY);
        }
        assert_eq!(self.left_behind(), [""; 0], "\n{}", self.contents());
    }

    /// Waits until the program is stopped, the terminal given back.
    #[track_caller]
    pub fn stops(&self) {
        self.wait_until_doing("stopped", |now| now.state == 'T');
        self.assert_given_back();
    }

    /// Where the terminal is in the file system.
    pub fn device(&self) -> std::path::PathBuf {
        self.line().master.tty_name().unwrap()
    }

    pub fn signal(&self, signal: Signal) {
        kill_process(self.pid, signal).unwrap();
    }

    /// Waits until the kernel shows the process doing what `is` accepts.
    #[track_caller]
    pub fn wait_until_doing(&self, what: &str, is: impl Fn(Doing) -> bool) -> Duration {
        let start = Instant::now();
        loop {
            let now = doing(self.pid);
            if now.is_some_and(&is) {
                return start.elapsed();
            }
            assert!(start.elapsed() < PATIENCE, "the process is not {what} but {now:?}");
            thread::sleep(LOOK_EVERY);
        }
    }

    /// Waits until the program has ended and all its output has been read.
    #[track_caller]
    pub fn end(&mut self) -> Ended {
        let start = Instant::now();
        let status = loop {
            if let Some(status) = self.child.try_wait().unwrap() {
                break status;
            }
            assert!(start.elapsed() < PATIENCE, "the program does not end:\n{}", self.contents());
            thread::sleep(LOOK_EVERY);
        };
        let after = start.elapsed();
        if self.line.is_some() {
            let mut seen = self.seen();
            while !seen.ended {
                let left = PATIENCE.checked_sub(start.elapsed()).expect("the terminal's output does not end");
                seen = self.shared.news.wait_timeout(seen, left).unwrap_or_else(PoisonError::into_inner).0;
            }
        }
        Ended { code: status.exit_code(), signal: status.signal().map(str::to_owned), after }
    }

    /// Closes our end, as when a terminal window is closed or a connection is lost.
    pub fn vanish(&mut self) {
        let Some(line) = self.line.take() else { return };
        self.shared.closing.store(true, Ordering::SeqCst);
        // The reader sleeps in the kernel and holds the terminal; another size makes the program draw, which wakes it.
        let Size(columns, rows) = self.size;
        line.master.resize(Size(columns + 1, rows).pty()).unwrap();
        line.reader.join().unwrap();
        // Closing the writer types a line end first, as some terminals do.
        drop(line.writer);
        drop(line.master);
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        if let Ok(None) = self.child.try_wait() {
            let _ = kill_process(self.pid, Signal::KILL);
            let _ = self.child.wait();
        }
    }
}

/// Waits until process `pid` is no more, and says how long that took and what processor time it was last seen to have
/// used in its life, at least the `ticks` seen before.
#[track_caller]
pub fn wait_until_gone(pid: Pid, mut ticks: u64) -> (Duration, u64) {
    let start = Instant::now();
    while let Some(now) = doing(pid).filter(|now| now.state != 'Z') {
        ticks = now.ticks;
        assert!(start.elapsed() < PATIENCE, "the process does not end: {now:?}");
        thread::sleep(LOOK_EVERY);
    }
    (start.elapsed(), ticks)
}

/// Waits until process `pid` has taken in all that has reached it.
#[track_caller]
pub fn settle(pid: Pid) {
    let start = Instant::now();
    while !sleeps(pid) {
        assert!(start.elapsed() < PATIENCE, "the program does not come to rest");
        thread::sleep(LOOK_EVERY);
    }
}

fn read(output: &mut impl Read, to: &Shared) {
    let mut bytes = [0; 4096];
    loop {
        let count = output.read(&mut bytes).unwrap_or(0);
        let mut seen = to.seen.lock().unwrap_or_else(PoisonError::into_inner);
        seen.take(&bytes[..count]);
        seen.ended = count == 0;
        to.news.notify_all();
        if count == 0 || to.closing.load(Ordering::SeqCst) {
            return;
        }
    }
}

//! The program in a pseudo-terminal, as a terminal window would run it.

use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::error::Error;
use std::io::{Read, Write};
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::{Duration, Instant};

const ROWS: u16 = 40;
const COLS: u16 = 120;
/// Longer than this no frame takes, whatever the machine.
const PATIENCE: Duration = Duration::from_secs(10);
/// The end of a synchronized update: from here the terminal shows the frame.
const FRAME_END: &[u8] = b"\x1b[?2026l";

/// The running program and its terminal.
pub struct Screen {
    child: Box<dyn Child + Send + Sync>,
    keys: Box<dyn Write + Send>,
    output: Receiver<(Instant, Vec<u8>)>,
    parser: vt100::Parser,
    /// The last bytes seen, for an end mark that two pieces share.
    tail: Vec<u8>,
    _terminal: Box<dyn MasterPty + Send>,
}

impl Screen {
    /// Starts the program and waits for its first frame; returns how long that took.
    pub fn start(notebook: &Path, desktop: bool) -> Result<(Self, Duration), Box<dyn Error>> {
        let size = PtySize { rows: ROWS, cols: COLS, pixel_width: 0, pixel_height: 0 };
        let pair = native_pty_system().openpty(size)?;
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_nightpour"));
        command.env("TERM", "xterm-256color");
        command.env("NIGHTPOUR_STORE", notebook);
        command.env("NIGHTPOUR_CONFIG", notebook.with_file_name("config"));
        if !desktop {
            command.arg("--no-desktop");
        }
        let mut reader = pair.master.try_clone_reader()?;
        let (sender, output) = channel();
        std::thread::spawn(move || {
            let mut buffer = vec![0; 1 << 16];
            while let Ok(n @ 1..) = reader.read(&mut buffer) {
                if sender.send((Instant::now(), buffer[..n].to_vec())).is_err() {
                    return;
                }
            }
        });
        let start = Instant::now();
        let child = pair.slave.spawn_command(command)?;
        let (keys, parser) = (pair.master.take_writer()?, vt100::Parser::new(ROWS.try_into()?, COLS.try_into()?, 0));
        let mut screen = Self { child, keys, output, parser, tail: Vec::new(), _terminal: pair.master };
        let end = screen.frame()?;
        Ok((screen, end.duration_since(start)))
    }

    /// Presses a key and waits for the frame that answers it.
    pub fn press(&mut self, key: &str) -> Result<Duration, Box<dyn Error>> {
        self.idle(Duration::from_millis(20))?;
        let start = Instant::now();
        self.keys.write_all(key.as_bytes())?;
        self.keys.flush()?;
        Ok(self.frame()?.duration_since(start))
    }

    /// Leaves the program alone for `time`; returns how many bytes it wrote meanwhile.
    pub fn idle(&mut self, time: Duration) -> Result<usize, Box<dyn Error>> {
        let end = Instant::now() + time;
        let mut bytes = 0;
        loop {
            match self.output.recv_timeout(end.saturating_duration_since(Instant::now())) {
                Ok((_, piece)) => {
                    bytes += piece.len();
                    self.take(&piece);
                }
                Err(RecvTimeoutError::Timeout) => return Ok(bytes),
                Err(RecvTimeoutError::Disconnected) => return Err(self.gone()),
            }
        }
    }

    /// What the terminal shows, line by line.
    pub fn shown(&self) -> String {
        self.parser.screen().contents()
    }

    pub fn pid(&self) -> Result<u32, Box<dyn Error>> {
        self.child.process_id().ok_or_else(|| "the program has no process number".into())
    }

    /// Waits for the end of the next frame.
    fn frame(&mut self) -> Result<Instant, Box<dyn Error>> {
        loop {
            match self.output.recv_timeout(PATIENCE) {
                Ok((at, piece)) => {
                    if self.take(&piece) {
                        return Ok(at);
                    }
                }
                Err(_) => return Err(self.gone()),
            }
        }
    }

    /// Shows `piece`; says whether a frame ended in it.
    fn take(&mut self, piece: &[u8]) -> bool {
        self.parser.process(piece);
        self.tail.extend_from_slice(piece);
        let ended = self.tail.windows(FRAME_END.len()).any(|window| window == FRAME_END);
        self.tail.drain(..self.tail.len().saturating_sub(FRAME_END.len() - 1));
        ended
    }

    fn gone(&self) -> Box<dyn Error> {
        format!("no frame within {PATIENCE:?}; the terminal shows:\n{}", self.shown()).into()
    }
}

impl Drop for Screen {
    fn drop(&mut self) {
        // Hangs up, as a closed window does; what has ended already need not be told.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

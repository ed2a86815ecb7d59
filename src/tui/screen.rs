//! The screen that is drawn on. What is meant for the terminal is kept until it is whole and then sent in one write: no
//! half of a frame is ever on its way, and what was being drawn when something failed is never sent at all.

use crossterm::terminal::{BeginSynchronizedUpdate, Clear, ClearType, EndSynchronizedUpdate};
use ratatui::{Frame, Terminal, backend::CrosstermBackend};
use std::cell::RefCell;
use std::io::{self, Write};
use std::rc::Rc;

/// The terminal's cells, and what is still to be sent of them.
pub(super) struct Screen {
    terminal: Terminal<CrosstermBackend<Unsent>>,
    unsent: Unsent,
    /// Nothing was drawn yet: whatever the terminal shows has to go first.
    untouched: bool,
}

impl Screen {
    /// A screen that will repaint every cell on its first draw.
    pub fn fresh() -> io::Result<Self> {
        let unsent = Unsent::default();
        Ok(Self { terminal: Terminal::new(CrosstermBackend::new(unsent.clone()))?, unsent, untouched: true })
    }

    /// Draws one frame inside a synchronized update, so that it appears at once.
    pub fn draw(&mut self, render: impl FnOnce(&mut Frame<'_>)) -> io::Result<()> {
        crossterm::queue!(self.unsent, BeginSynchronizedUpdate)?;
        if std::mem::take(&mut self.untouched) {
            crossterm::queue!(self.unsent, Clear(ClearType::All))?;
        }
        self.terminal.draw(render)?;
        crossterm::queue!(self.unsent, EndSynchronizedUpdate)?;
        self.unsent.send()
    }

    /// Has `text` go to the terminal with the next frame: a bell, a title.
    pub fn with_next_frame(&mut self, text: &str) {
        self.unsent.0.borrow_mut().extend_from_slice(text.as_bytes());
    }
}

/// Bytes on their way to the terminal; both holders add to the same.
#[derive(Debug, Clone, Default)]
struct Unsent(Rc<RefCell<Vec<u8>>>);

impl Unsent {
    fn send(&self) -> io::Result<()> {
        let mut bytes = self.0.borrow_mut();
        let mut out = io::stdout();
        let sent = out.write_all(&bytes).and_then(|()| out.flush());
        bytes.clear();
        sent
    }
}

impl Write for Unsent {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().extend_from_slice(bytes);
        Ok(bytes.len())
    }

    /// Sends nothing: the library flushes in the middle of a frame, and once more when it is dropped, after the
    /// terminal was given back or has gone.
    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

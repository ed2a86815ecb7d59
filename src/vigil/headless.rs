//! The watch without a screen.

use super::{Left, News, Signal, Signals, Sleeper, Vigil, VigilOptions};
use crate::notebook::NotebookError;
use crate::text::PlainText;
use jiff::Timestamp;
use std::io;
use std::time::Duration;
use tokio::sync::mpsc::unbounded_channel;

/// How long to sleep where nothing is known to come.
const IDLE: Duration = Duration::from_hours(1);

/// Why the watch could not begin, or had to end.
#[derive(Debug, thiserror::Error)]
pub enum VigilError {
    #[error(transparent)]
    Notebook(#[from] NotebookError),
    #[error("the vigil cannot run here: {0}")]
    System(#[from] io::Error),
}

/// Keeps watch until the system asks for the end. `tell` is given what a screen would show; it may not wait for anything.
pub fn run(options: VigilOptions, mut tell: impl FnMut(&Vigil, Timestamp, &Left)) -> Result<(), VigilError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    runtime.block_on(async {
        let mut signals = Signals::listen()?;
        let (outbox, mut inbox) = unbounded_channel();
        let (mut vigil, effects) = Vigil::open(options, move |news: News| drop(outbox.send(news)))?;
        let mut left = vigil.start();
        let (now, noticed) = vigil.now();
        left.extend(vigil.other_watcher().map(|other| {
            let line = format!("alarms sound in another nightpour ({}, process {}), not here", other.kind, other.pid);
            Left::Say { line: PlainText::new(&line), refused: false }
        }));
        left.extend(noticed);
        left.extend(vigil.begin(effects, now));
        told(&mut tell, &vigil, now, &left);
        let sleeper = Sleeper::new();
        loop {
            let (now, noticed) = vigil.now();
            told(&mut tell, &vigil, now, &noticed);
            let wait = vigil.next(now).map_or(IDLE, |next| vigil.clock().real_duration(next.duration_since(now)));
            tokio::select! {
                news = inbox.recv() => {
                    let Some(news) = news else { return Ok(()) };
                    let (now, mut left) = vigil.now();
                    left.extend(vigil.take(news, now));
                    told(&mut tell, &vigil, now, &left);
                }
                signal = signals.next() => match signal {
                    Signal::End => return Ok(()),
                    Signal::Stop => stop(&mut vigil)?,
                    Signal::Continued | Signal::Resized => {}
                },
                () = sleeper.after(wait) => {
                    let (now, mut left) = vigil.now();
                    left.extend(vigil.pass_time(now));
                    told(&mut tell, &vigil, now, &left);
                }
            }
        }
    })
}

fn told(tell: &mut impl FnMut(&Vigil, Timestamp, &Left), vigil: &Vigil, now: Timestamp, left: &[Left]) {
    for left in left {
        tell(vigil, now, left);
    }
}

/// Stops as Ctrl-Z does; another process may sound meanwhile.
fn stop(vigil: &mut Vigil) -> io::Result<()> {
    vigil.stand_down();
    #[cfg(unix)]
    rustix::process::kill_process(rustix::process::getpid(), rustix::process::Signal::STOP)?;
    vigil.stand_up();
    Ok(())
}

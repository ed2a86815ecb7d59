//! Of all processes on one notebook only one sounds the alarms and reads the thermometers: the one that holds the lease.
//!
//! The lease is a lock of the system's on a file beside the notebook. Whoever holds it need do nothing for it, and when that
//! process dies, however it dies, the system gives it to the next in the line at once. Who holds it, and when it last sounded
//! something, stands in the notebook.

use std::ffi::OsString;
use std::fs::{File, OpenOptions, TryLockError};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::thread;

/// Where this process stands.
#[derive(Debug)]
pub(super) enum Lease {
    /// It sounds. The lock goes with the file.
    Held { _lock: File },
    /// Another one sounds; a thread waits in the line, until this is dropped.
    Waiting { _place: Place },
    /// Not asked for.
    None,
    /// No lock can be had here: then every process sounds, for an alarm twice is better than none.
    Alone { why: String },
}

/// A place in the line. A lock that comes after it was given up goes to the next at once.
#[derive(Debug)]
pub(super) struct Place(Arc<AtomicBool>);

impl Drop for Place {
    fn drop(&mut self) {
        self.0.store(true, Ordering::SeqCst);
    }
}

impl Lease {
    /// Takes the lease, or has `gained` called, on a thread of its own, once it is this process's turn.
    pub fn ask(notebook: &Path, gained: impl FnOnce(File) + Send + 'static) -> Self {
        let alone = |why: &dyn std::fmt::Display| Lease::Alone { why: why.to_string() };
        let file = match OpenOptions::new().create(true).truncate(false).write(true).open(file_of(notebook)) {
            Ok(file) => file,
            Err(why) => return alone(&why),
        };
        match file.try_lock() {
            Ok(()) => Lease::Held { _lock: file },
            Err(TryLockError::WouldBlock) => {
                let place = Place(Arc::default());
                let given_up = Arc::clone(&place.0);
                let wait = move || {
                    if file.lock().is_ok() && !given_up.load(Ordering::SeqCst) {
                        gained(file);
                    }
                };
                match thread::Builder::new().name("lease".into()).spawn(wait) {
                    Ok(_) => Lease::Waiting { _place: place },
                    Err(why) => alone(&why),
                }
            }
            Err(TryLockError::Error(why)) => alone(&why),
        }
    }

    /// Whether this process sounds.
    pub fn sounds(&self) -> bool {
        !matches!(self, Lease::Waiting { .. } | Lease::None)
    }
}

/// Whether some process sounds the alarms of this notebook now.
pub fn is_watched(notebook: &Path) -> bool {
    let file = OpenOptions::new().write(true).open(file_of(notebook));
    file.is_ok_and(|file| matches!(file.try_lock(), Err(TryLockError::WouldBlock)))
}

/// The lock of who sounds in the place of a holder that hangs; `None` where another process does already.
pub(super) fn stand_in(notebook: &Path) -> Option<File> {
    let file = OpenOptions::new().create(true).truncate(false).write(true).open(beside(notebook, "-stand-in")).ok()?;
    file.try_lock().is_ok().then_some(file)
}

fn file_of(notebook: &Path) -> PathBuf {
    beside(notebook, "-alarms")
}

fn beside(notebook: &Path, ending: &str) -> PathBuf {
    let mut name = OsString::from(notebook);
    name.push(ending);
    PathBuf::from(name)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::channel;
    use std::time::Duration;

    #[test]
    fn one_sounds_and_the_next_takes_over_when_it_goes() {
        let folder = tempfile::tempdir().unwrap();
        let notebook = folder.path().join("n.sqlite");
        let first = Lease::ask(&notebook, |_| panic!("it had it from the beginning"));
        assert!(first.sounds() && is_watched(&notebook));
        let (sender, gained) = channel();
        let second = Lease::ask(&notebook, move |lock| sender.send(lock).unwrap());
        assert!(!second.sounds());
        assert!(gained.recv_timeout(Duration::from_millis(200)).is_err());
        drop(first);
        drop(gained.recv_timeout(Duration::from_secs(10)).unwrap());
        assert!(!is_watched(&notebook));
    }

    #[test]
    fn a_place_that_was_given_up_is_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let notebook = folder.path().join("n.sqlite");
        let first = Lease::ask(&notebook, |_| ());
        drop(Lease::ask(&notebook, |_| panic!("it has left the line")));
        let (sender, gained) = channel();
        let _third = Lease::ask(&notebook, move |lock| sender.send(lock).unwrap());
        drop(first);
        assert!(gained.recv_timeout(Duration::from_secs(10)).is_ok());
    }

    #[test]
    fn where_there_is_no_lock_it_sounds_all_the_same() {
        let lease = Lease::ask(Path::new("/no/such/folder/n.sqlite"), |_| ());
        assert!(lease.sounds() && matches!(lease, Lease::Alone { .. }));
    }
}

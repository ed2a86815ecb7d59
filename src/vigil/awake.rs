//! Holding the machine awake.

use crate::text::PlainText;
use jiff::{SignedDuration, Timestamp};
use std::sync::Arc;
use std::thread;

/// Whether the machine is held awake.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Awake {
    /// Nothing runs that would need it, or the user does not want it.
    NotHeld,
    /// It stays awake; `lid`: also with the lid shut.
    Held { lid: bool },
    /// It could not be asked for.
    Refused { why: PlainText },
}

/// What holds the machine awake; letting go of it releases it.
pub(super) type Hold = Box<dyn Send>;

/// What came of asking, and of which question.
pub(super) struct Answer {
    question: u64,
    awake: Awake,
    hold: Option<Hold>,
}

type Tell = Arc<dyn Fn(Answer) + Send + Sync>;

/// A system that has not answered by then does not answer.
const PATIENCE: SignedDuration = SignedDuration::from_secs(10);
/// How often it is asked again where it refused.
const ASK_AGAIN: SignedDuration = SignedDuration::from_mins(5);

/// The machine, held awake or not.
pub(super) struct Wakefulness {
    awake: Awake,
    hold: Option<Hold>,
    /// The last question, and when it was asked; `None` while nothing is wanted.
    asked: Option<(u64, Timestamp)>,
    questions: u64,
    tell: Tell,
}

impl Wakefulness {
    /// `tell` is called, on another thread, with each answer.
    pub fn new(tell: Tell) -> Self {
        Self { awake: Awake::NotHeld, hold: None, asked: None, questions: 0, tell }
    }

    pub fn state(&self) -> &Awake {
        &self.awake
    }

    /// Asks, or lets go, by what is `wanted`. Returns at once.
    pub fn mind(&mut self, wanted: bool, now: Timestamp) {
        if !wanted {
            (self.awake, self.hold, self.asked) = (Awake::NotHeld, None, None);
            return;
        }
        let waited = self.asked.map(|(_, at)| now.duration_since(at).abs());
        match (&self.awake, waited) {
            (_, None) => self.ask(now),
            (Awake::Refused { .. }, Some(waited)) if waited >= ASK_AGAIN => self.ask(now),
            (Awake::NotHeld, Some(waited)) if waited >= PATIENCE => {
                self.awake = Awake::Refused { why: PlainText::new("the system does not answer") };
            }
            _ => {}
        }
    }

    fn ask(&mut self, now: Timestamp) {
        self.questions += 1;
        self.asked = Some((self.questions, now));
        let (question, tell) = (self.questions, Arc::clone(&self.tell));
        let told = Arc::clone(&self.tell);
        let asking = move || {
            let (awake, hold) = system::hold();
            told(Answer { question, awake, hold });
        };
        if let Err(why) = thread::Builder::new().name("stay-awake".into()).spawn(asking) {
            let (awake, hold) = refused(&why);
            tell(Answer { question, awake, hold });
        }
    }

    /// Takes an answer in. One to an older question, or that nobody needs any more, is let go at once.
    pub fn hear(&mut self, answer: Answer) {
        if self.asked.is_some_and(|(question, _)| question == answer.question) {
            (self.awake, self.hold) = (answer.awake, answer.hold);
        }
    }
}

/// Whether it can be had: asked for and let go again.
pub fn try_awake() -> Awake {
    system::hold().0
}

fn refused(why: &dyn std::fmt::Display) -> (Awake, Option<Hold>) {
    (Awake::Refused { why: PlainText::new(&why.to_string()) }, None)
}

const WHY: &str = "a pour is setting";

#[cfg(target_os = "linux")]
mod system {
    //! logind's inhibitor locks (freedesktop.org, "Inhibitor Locks"): a file descriptor that holds for as long as it is open.

    use super::{Awake, Hold, WHY, refused};
    use zbus::{Connection, OwnedFd};

    pub(super) fn hold() -> (Awake, Option<Hold>) {
        zbus::block_on(hold_soon())
    }

    async fn hold_soon() -> (Awake, Option<Hold>) {
        let Ok(connection) = Connection::system().await else {
            return refused(&"no system bus here, so nobody to ask");
        };
        // The lid needs a right of its own, which not every session has.
        let (lid, lock) = match ask(&connection, "sleep:idle:handle-lid-switch").await {
            Ok(lock) => (true, Ok(lock)),
            Err(_) => (false, ask(&connection, "sleep:idle").await),
        };
        match lock {
            Ok(lock) => (Awake::Held { lid }, Some(Box::new(lock))),
            Err(zbus::Error::MethodError(name, words, _)) => refused(&words.unwrap_or_else(|| name.to_string())),
            Err(why) => refused(&why),
        }
    }

    async fn ask(connection: &Connection, what: &str) -> zbus::Result<OwnedFd> {
        let answer = connection
            .call_method(
                Some("org.freedesktop.login1"),
                "/org/freedesktop/login1",
                Some("org.freedesktop.login1.Manager"),
                "Inhibit",
                &(what, "Nightpour", WHY, "block"),
            )
            .await?;
        answer.body().deserialize::<OwnedFd>()
    }
}

#[cfg(any(target_os = "macos", windows))]
mod system {
    use super::{Awake, Hold, WHY, refused};

    pub(super) fn hold() -> (Awake, Option<Hold>) {
        let asked = keepawake::Builder::default()
            .idle(true)
            .sleep(true)
            .reason(WHY)
            .app_name("Nightpour")
            .app_reverse_domain("nightpour.nightpour")
            .create();
        match asked {
            Ok(hold) => (Awake::Held { lid: false }, Some(Box::new(hold))),
            Err(why) => refused(&why),
        }
    }
}

#[cfg(not(any(target_os = "linux", target_os = "macos", windows)))]
mod system {
    use super::{Awake, Hold, WHY, refused};

    pub(super) fn hold() -> (Awake, Option<Hold>) {
        let _ = WHY;
        refused(&"nothing is known here that would hold this kind of system awake")
    }
}

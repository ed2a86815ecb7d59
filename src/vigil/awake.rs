//! Holding the machine awake.

use crate::text::PlainText;
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

/// What came of asking.
pub(super) struct Answer {
    pub awake: Awake,
    pub hold: Option<Hold>,
}

/// Asks that the machine stay awake, and has `tell` called with what came of it. Returns at once: what is asked may hang.
pub(super) fn ask(tell: &Arc<dyn Fn(Answer) + Send + Sync>) {
    let told = Arc::clone(tell);
    let asked = thread::Builder::new().name("stay-awake".into()).spawn(move || told(system::hold()));
    if let Err(why) = asked {
        tell(refused(&why));
    }
}

/// Whether it can be had: asked for and let go again.
pub fn try_awake() -> Awake {
    system::hold().awake
}

fn refused(why: &dyn std::fmt::Display) -> Answer {
    Answer { awake: Awake::Refused { why: PlainText::new(&why.to_string()) }, hold: None }
}

const WHY: &str = "a pour is setting";

#[cfg(target_os = "linux")]
mod system {
    //! logind's inhibitor locks (freedesktop.org, "Inhibitor Locks"): a file descriptor that holds for as long as it is open.

    use super::{Answer, Awake, WHY, refused};
    use zbus::{Connection, OwnedFd};

    pub(super) fn hold() -> Answer {
        zbus::block_on(hold_soon())
    }

    async fn hold_soon() -> Answer {
        let Ok(connection) = Connection::system().await else {
            return refused(&"no system bus here, so nobody to ask");
        };
        // The lid needs a right of its own, which not every session has.
        let (lid, lock) = match ask(&connection, "sleep:idle:handle-lid-switch").await {
            Ok(lock) => (true, Ok(lock)),
            Err(_) => (false, ask(&connection, "sleep:idle").await),
        };
        match lock {
            Ok(lock) => Answer { awake: Awake::Held { lid }, hold: Some(Box::new(lock)) },
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
    use super::{Answer, Awake, WHY, refused};

    pub(super) fn hold() -> Answer {
        let asked = keepawake::Builder::default()
            .idle(true)
            .sleep(true)
            .reason(WHY)
            .app_name("Nightpour")
            .app_reverse_domain("nightpour.nightpour")
            .create();
        match asked {
            Ok(hold) => Answer { awake: Awake::Held { lid: false }, hold: Some(Box::new(hold)) },
            Err(why) => refused(&why),
        }
    }
}

#[cfg(not(any(target_os = "linux", target_os = "macos", windows)))]
mod system {
    use super::{Answer, WHY, refused};

    pub(super) fn hold() -> Answer {
        let _ = WHY;
        refused(&"nothing is known here that would hold this kind of system awake")
    }
}

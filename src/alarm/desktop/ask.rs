//! Asking who shows notifications here, and what they can do.
//!
//! The library has these questions as blocking calls only, and a bus that accepts but never answers holds such a
//! call for ever. Each is therefore put on a thread of its own; how many may be held at once is limited.

use super::{health::LIMIT, worker::News};
use crate::text::PlainText;
use std::{pin::Pin, thread};
use tokio::{
    sync::mpsc::UnboundedSender,
    time::{Sleep, sleep},
};

/// Most questions out at once. The second is for a desktop that came back while the first still hangs on the old one.
const MOST_OUT: usize = 2;

/// The notification service, as it describes itself.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Server {
    pub(super) name: PlainText,
    pub(super) actions: bool,
    pub(super) markup: bool,
}

/// A question's number and what came back: the service, or why there is none.
pub(super) struct Reply {
    number: u64,
    pub(super) server: Result<Server, PlainText>,
}

/// The questions under way.
pub(super) struct Asking {
    news: UnboundedSender<News>,
    asked: u64,
    answered: u64,
    out: usize,
    patience: Option<Pin<Box<Sleep>>>,
    overdue: bool,
}

impl Asking {
    pub(super) fn new(news: UnboundedSender<News>) -> Self {
        Self { news, asked: 0, answered: 0, out: 0, patience: None, overdue: false }
    }

    /// Asks, unless an answer is about to come anyway.
    pub(super) fn ask(&mut self) {
        if self.patience.is_some() || self.out >= MOST_OUT {
            return;
        }
        self.asked += 1;
        self.out += 1;
        self.patience = Some(Box::pin(sleep(LIMIT)));
        let (number, news) = (self.asked, self.news.clone());
        let asked = thread::Builder::new().name("desktop-ask".into()).spawn(move || {
            let server = question();
            // Nobody listens any more once the channel was dropped.
            let _ = news.send(News::Reply(Reply { number, server }));
        });
        if let Err(reason) = asked {
            let server = Err(PlainText::new(&format!("no thread could be started ({reason})")));
            let _ = self.news.send(News::Reply(Reply { number, server }));
        }
    }

    /// Takes a reply in; `None` if a later question was answered before, so that this one tells old news.
    pub(super) fn heard(&mut self, reply: Reply) -> Option<Result<Server, PlainText>> {
        self.out -= 1;
        if reply.number < self.answered {
            return None;
        }
        self.answered = reply.number;
        self.patience = None;
        self.overdue = false;
        Some(reply.server)
    }

    /// Ends when the newest question has been out for too long.
    pub(super) async fn too_long(&mut self) {
        match &mut self.patience {
            Some(patience) => patience.await,
            None => std::future::pending().await,
        }
        self.patience = None;
        self.overdue = true;
    }

    pub(super) fn overdue(&self) -> bool {
        self.overdue
    }
}

fn question() -> Result<Server, PlainText> {
    let able = notify_rust::get_capabilities().map_err(|error| reason(&error))?;
    let name = notify_rust::get_server_information().map_err(|error| reason(&error))?.name;
    let can = |what: &str| able.iter().any(|ability| ability == what);
    Ok(Server { name: PlainText::new(&name), actions: can("actions"), markup: can("body-markup") })
}

/// Why the desktop could not be reached, in the user's words. The library gives the cause as text only.
pub(super) fn reason(error: &notify_rust::error::Error) -> PlainText {
    explain(&error.to_string())
}

fn explain(error: &str) -> PlainText {
    const NOBODY: [&str; 2] =
        ["org.freedesktop.DBus.Error.ServiceUnknown", "org.freedesktop.DBus.Error.NameHasNoOwner"];
    if NOBODY.iter().any(|name| error.contains(name)) {
        PlainText::new("no notification service runs here")
    } else if error.starts_with("org.freedesktop.DBus.Error.NoReply") {
        PlainText::new("the notification service stopped")
    } else if error.contains("org.freedesktop.DBus.") {
        PlainText::new(&format!("the notification service refused ({error})"))
    } else {
        PlainText::new("no session bus here")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn causes_are_told_apart() {
        // The error names are the D-Bus specification's; the words after them are from memory and play no part.
        for (error, words) in [
            ("I/O error: No such file or directory (os error 2)", "no session bus here"),
            (
                "org.freedesktop.DBus.Error.ServiceUnknown: The name org.freedesktop.Notifications was not provided by any .service files",
                "no notification service runs here",
            ),
            (
                "org.freedesktop.DBus.Error.NoReply: Message recipient disconnected from message bus without replying",
                "the notification service stopped",
            ),
            (
                "org.freedesktop.DBus.Error.AccessDenied: no",
                "the notification service refused (org.freedesktop.DBus.Error.AccessDenied: no)",
            ),
        ] {
            assert_eq!(explain(error).as_str(), words);
        }
    }
}

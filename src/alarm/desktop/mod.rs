//! Notifications on the desktop, with a button that acknowledges.
//!
//! Everything that may hang happens on the channel's own threads; the handle only posts orders. The caller hears
//! back through a callback, and a channel that does not work says so in [`Health`] instead of failing.

mod health;

#[cfg(all(unix, not(target_os = "macos")))]
mod ask;
#[cfg(all(unix, not(target_os = "macos")))]
mod compose;
#[cfg(all(unix, not(target_os = "macos")))]
mod live;
#[cfg(all(unix, not(target_os = "macos")))]
mod worker;

#[cfg(not(all(unix, not(target_os = "macos"))))]
mod worker {
    //! Systems without the D-Bus notification service.
    use super::{DesktopEvent, Health, Order, Tell};
    use crate::text::PlainText;
    use tokio::sync::mpsc::UnboundedReceiver;

    /// Says that there is nothing to run here; orders posted later go nowhere.
    pub(super) fn run(_orders: UnboundedReceiver<Order>, tell: &Tell) {
        let reason = PlainText::new("no notification service on this kind of system");
        tell(DesktopEvent::Health(Health::Unreachable { reason }));
    }
}

pub use health::Health;

use crate::bench::{AlarmId, Notice};
use crate::text::PlainText;
use std::{sync::Arc, thread};
use tokio::sync::mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel};

/// What the desktop reports back.
#[derive(Debug, Clone, PartialEq)]
pub enum DesktopEvent {
    /// Somebody pressed "Acknowledge", or clicked the notification itself.
    Acknowledged(AlarmId),
    /// The channel's state changed.
    Health(Health),
}

/// Where [`DesktopEvent`]s go; called on the channel's own thread.
type Tell = dyn Fn(DesktopEvent) + Send + Sync;

enum Order {
    Ring(Notice),
    Withdraw(AlarmId),
}

/// The handle on the desktop channel. Dropping it ends the channel and waits for nothing; what is shown stays.
pub struct DesktopChannel {
    orders: UnboundedSender<Order>,
}

impl DesktopChannel {
    /// Starts the channel and asks who shows notifications here; the answer comes as [`DesktopEvent::Health`].
    pub fn open(tell: impl Fn(DesktopEvent) + Send + Sync + 'static) -> Self {
        let (orders, inbox) = unbounded_channel();
        let tell: Arc<Tell> = Arc::new(tell);
        if let Err(reason) = start(inbox, Arc::clone(&tell)) {
            let reason = PlainText::new(&format!("no thread could be started ({reason})"));
            tell(DesktopEvent::Health(Health::Unreachable { reason }));
        }
        Self { orders }
    }

    /// Shows `notice`, in place of an earlier one of the same alarm. Returns at once; health tells what became of it.
    pub fn ring(&self, notice: Notice) {
        self.post(Order::Ring(notice));
    }

    /// Takes the notification of `alarm` away, shown or still waiting to be.
    pub fn withdraw(&self, alarm: AlarmId) {
        self.post(Order::Withdraw(alarm));
    }

    fn post(&self, order: Order) {
        // The worker is gone only where it could not start, and then the caller has been told so.
        let _ = self.orders.send(order);
    }
}

fn start(inbox: UnboundedReceiver<Order>, tell: Arc<Tell>) -> std::io::Result<()> {
    thread::Builder::new().name("desktop-alarms".into()).spawn(move || worker::run(inbox, tell.as_ref())).map(drop)
}

//! A channel on a thread of its own: the newest notice of each alarm, tried again until it has gone out, or nobody needs it
//! any more. The caller never waits.

use super::health::{Channel, ChannelHealth, Doing};
use super::waiting::{Waiting, more_words};
use super::{ChannelEvent, Tell};
use crate::bench::{AlarmId, Notice};
use crate::text::PlainText;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread;
use std::time::Duration;

/// Half the first wait after a failure; each one after it is twice as long.
const FIRST_WAIT: Duration = Duration::from_millis(500);
const LONGEST_WAIT: Duration = Duration::from_mins(1);

/// What a channel does with a notice. May take its time, within limits of its own.
pub(super) trait Deliver: Send + 'static {
    /// Says in a few words how, or why not.
    fn deliver(&mut self, notice: &Notice) -> Result<PlainText, PlainText>;

    /// Whether a notice that did not go out is tried again before the alarm rings once more.
    fn retries(&self) -> bool;

    /// Whether one that has gone out speaks for all that ring at the same moment.
    fn speaks_for_all(&self) -> bool {
        false
    }
}

enum Order {
    Ring(Box<Notice>),
    Withdraw(AlarmId),
}

/// The handle on one channel. Dropping it lets the thread end after what it is doing.
#[derive(Debug)]
pub(super) struct Worker {
    orders: Sender<Order>,
}

impl Worker {
    pub fn start(name: Channel, deliver: impl Deliver, tell: &Arc<Tell>) -> Self {
        let (orders, inbox) = channel();
        let told = Arc::clone(tell);
        let started =
            thread::Builder::new().name(format!("alarm-{name}")).spawn(move || serve(name, deliver, &inbox, &told));
        if let Err(why) = started {
            let health = ChannelHealth::new(Doing::Fails, &format!("no thread could be started ({why})"));
            tell(ChannelEvent::Health(name, health));
        }
        Self { orders }
    }

    pub fn ring(&self, notice: Notice) {
        // A thread that could not start has said so.
        let _ = self.orders.send(Order::Ring(Box::new(notice)));
    }

    pub fn withdraw(&self, alarm: AlarmId) {
        let _ = self.orders.send(Order::Withdraw(alarm));
    }
}

fn take(order: Order, waiting: &mut Waiting) {
    match order {
        Order::Ring(notice) => waiting.keep(*notice),
        Order::Withdraw(alarm) => waiting.forget(alarm),
    }
}

fn serve(name: Channel, mut deliver: impl Deliver, inbox: &Receiver<Order>, tell: &Arc<Tell>) {
    let mut waiting = Waiting::default();
    let mut wait = FIRST_WAIT;
    let mut said: Option<ChannelHealth> = None;
    loop {
        // What did not go out waits for its next try; otherwise there is nothing to wake up for.
        let order = if waiting.len() > 0 {
            match inbox.recv_timeout(wait) {
                Ok(order) => Some(order),
                Err(RecvTimeoutError::Timeout) => None,
                Err(RecvTimeoutError::Disconnected) => return,
            }
        } else {
            let Ok(order) = inbox.recv() else { return };
            Some(order)
        };
        if let Some(order) = order {
            take(order, &mut waiting);
        }
        let mut failed: Vec<Notice> = Vec::new();
        let mut failing = None;
        // One at a time: what was answered while another was on its way out does not go out.
        loop {
            for order in inbox.try_iter() {
                if let Order::Withdraw(alarm) = order {
                    failed.retain(|notice| notice.alarm != alarm);
                }
                take(order, &mut waiting);
            }
            let Some(notice) = waiting.take_first() else { break };
            let outcome = deliver.deliver(&notice);
            if outcome.is_ok() && deliver.speaks_for_all() {
                drop(waiting.take());
            }
            failing = Some(outcome.is_err());
            if outcome.is_err() && deliver.retries() {
                failed.push(notice);
            }
            let health = match outcome {
                Ok(words) => ChannelHealth { doing: Doing::Works, words },
                Err(why) => {
                    let more = more_words(failed.len() + waiting.len());
                    ChannelHealth::new(Doing::Fails, &format!("{why}{more}"))
                }
            };
            // The same again is no news.
            if said.as_ref() != Some(&health) {
                said = Some(health.clone());
                tell(ChannelEvent::Health(name, health));
            }
        }
        wait = if failing == Some(true) { (wait * 2).min(LONGEST_WAIT) } else { FIRST_WAIT };
        for notice in failed {
            waiting.keep_unless_newer(notice);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alarm::testing::notice;
    use crate::bench::Urgency;
    use std::sync::mpsc::channel;

    /// Fails so many times, then works; tells what it was given.
    struct Flaky {
        alone: bool,
        fails: usize,
        given: Sender<String>,
    }

    impl Deliver for Flaky {
        fn deliver(&mut self, notice: &Notice) -> Result<PlainText, PlainText> {
            self.given.send(notice.headline.to_string()).unwrap();
            if self.alone {
                // A tone lasts: the others come meanwhile.
                thread::sleep(Duration::from_millis(300));
            }
            match self.fails.checked_sub(1) {
                Some(left) => {
                    self.fails = left;
                    Err(PlainText::new("the line is dead"))
                }
                None => Ok(PlainText::new("gone out")),
            }
        }

        fn retries(&self) -> bool {
            true
        }

        fn speaks_for_all(&self) -> bool {
            self.alone
        }
    }

    fn started(fails: usize) -> (Worker, Receiver<String>, Receiver<ChannelHealth>) {
        started_as(fails, false)
    }

    fn started_as(fails: usize, alone: bool) -> (Worker, Receiver<String>, Receiver<ChannelHealth>) {
        let ((given, heard), (healths, told)) = (channel(), channel());
        let tell: Arc<Tell> = Arc::new(move |event| {
            if let ChannelEvent::Health(_, health) = event {
                healths.send(health).unwrap();
            }
        });
        (Worker::start(Channel::Post, Flaky { alone, fails, given }, &tell), heard, told)
    }

    const SOON: Duration = Duration::from_secs(10);

    #[test]
    fn what_did_not_go_out_is_tried_again_until_it_has() {
        let (worker, heard, told) = started(2);
        worker.ring(notice(1, Urgency::Critical, "koi"));
        assert_eq!([0; 3].map(|_| heard.recv_timeout(SOON).unwrap()), ["koi"; 3]);
        let told = [0; 2].map(|_| told.recv_timeout(SOON).unwrap());
        assert_eq!(told[0].words.as_str(), "the line is dead; 1 alarm waits");
        assert_eq!(told.map(|health| health.doing), [Doing::Fails, Doing::Works], "and each is told once");
    }

    #[test]
    fn a_tone_is_one_tone_however_many_ring() {
        // The first one fails, so that the others are there when it is tried again.
        let (worker, heard, _told) = started_as(1, true);
        for batch in 1..=5 {
            worker.ring(notice(batch, Urgency::Critical, "koi"));
        }
        let tones = std::iter::from_fn(|| heard.recv_timeout(Duration::from_millis(1500)).ok()).count();
        assert_eq!(tones, 3, "the one that failed, one for all the others, and the first once more");
    }

    #[test]
    fn what_was_answered_meanwhile_does_not_go_out() {
        let (worker, heard, told) = started(1);
        worker.ring(notice(1, Urgency::Critical, "koi"));
        assert_eq!(told.recv_timeout(SOON).unwrap().doing, Doing::Fails);
        worker.withdraw(notice(1, Urgency::Low, "").alarm);
        worker.ring(notice(2, Urgency::Critical, "reed"));
        assert_eq!([0; 2].map(|_| heard.recv_timeout(SOON).unwrap()), ["koi", "reed"]);
        assert!(heard.recv_timeout(Duration::from_millis(1500)).is_err());
    }
}

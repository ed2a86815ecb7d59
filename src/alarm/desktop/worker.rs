//! The channel's own thread: takes orders, keeps one task for each alarm on the desktop, and reports.

use super::{
    DesktopEvent, Health, Order, Tell,
    ask::{Asking, Reply, Server},
    live::{Live, Post},
};
use crate::alarm::waiting::Waiting;
use crate::bench::{AlarmId, Notice};
use crate::text::PlainText;
use std::collections::{BTreeMap, BTreeSet};
use tokio::{
    runtime::Builder,
    select,
    sync::{
        mpsc::{UnboundedReceiver, UnboundedSender, unbounded_channel},
        watch,
    },
    task::{LocalSet, spawn_local},
};

/// What the channel's threads and tasks tell its worker.
pub(super) enum News {
    Reply(Reply),
    Late(AlarmId),
    OnTimeAgain(AlarmId),
    Failed(PlainText),
    Acknowledged(AlarmId),
    Ended,
}

/// Serves `orders` until their sender is dropped.
pub(super) fn run(orders: UnboundedReceiver<Order>, tell: &Tell) {
    match Builder::new_current_thread().enable_time().build() {
        Ok(runtime) => LocalSet::new().block_on(&runtime, serve(orders, tell)),
        Err(error) => {
            let reason = PlainText::new(&format!("no timer could be started ({error})"));
            tell(DesktopEvent::Health(Health::Unreachable { reason }));
        }
    }
}

async fn serve(mut orders: UnboundedReceiver<Order>, tell: &Tell) {
    let (sender, mut news) = unbounded_channel();
    let mut worker = Worker::new(sender, tell);
    worker.asking.ask();
    loop {
        select! {
            order = orders.recv() => match order {
                Some(order) => worker.obey(order),
                None => return,
            },
            Some(news) = news.recv() => worker.hear(news),
            () = worker.asking.too_long() => {}
        }
        worker.report();
    }
}

struct Worker<'a> {
    tell: &'a Tell,
    news: UnboundedSender<News>,
    asking: Asking,
    /// The last answer, or failure, from the desktop.
    last: Option<Result<Server, PlainText>>,
    waiting: Waiting,
    live: BTreeMap<AlarmId, watch::Sender<Post>>,
    late: BTreeSet<AlarmId>,
    reported: Health,
}

impl<'a> Worker<'a> {
    fn new(news: UnboundedSender<News>, tell: &'a Tell) -> Self {
        Self {
            tell,
            asking: Asking::new(news.clone()),
            news,
            last: None,
            waiting: Waiting::default(),
            live: BTreeMap::new(),
            late: BTreeSet::new(),
            reported: Health::Unknown,
        }
    }

    fn obey(&mut self, order: Order) {
        match order {
            Order::Ring(notice) => {
                self.waiting.keep(notice);
                // Asked anew each time: services come and go in a night, and differ in what they can do.
                self.asking.ask();
            }
            Order::Withdraw(alarm) => {
                self.waiting.forget(alarm);
                self.live.remove(&alarm);
            }
        }
    }

    fn hear(&mut self, news: News) {
        match news {
            News::Reply(reply) => {
                if let Some(server) = self.asking.heard(reply) {
                    // A desktop that is not there gets nothing later: the bench rings again until acknowledged.
                    let due = self.waiting.take();
                    if let Ok(server) = &server {
                        for notice in due {
                            self.show(notice, server);
                        }
                    }
                    self.last = Some(server);
                }
            }
            News::Late(alarm) => drop(self.late.insert(alarm)),
            News::OnTimeAgain(alarm) => drop(self.late.remove(&alarm)),
            News::Failed(reason) => self.last = Some(Err(reason)),
            News::Acknowledged(alarm) => (self.tell)(DesktopEvent::Acknowledged(alarm)),
            // The alarm may have been rung anew since: what goes is only what has no task behind it.
            News::Ended => self.live.retain(|_, posts| !posts.is_closed()),
        }
    }

    fn show(&mut self, notice: Notice, server: &Server) {
        let alarm = notice.alarm;
        let post = Post { notice, server: server.clone() };
        let refused = match self.live.get(&alarm) {
            Some(posts) => posts.send(post).err().map(|refused| refused.0),
            None => Some(post),
        };
        if let Some(post) = refused {
            let (sender, posts) = watch::channel(post);
            self.live.insert(alarm, sender);
            spawn_local(Live { alarm, posts, news: self.news.clone() }.follow());
        }
    }

    fn report(&mut self) {
        let health = self.health();
        if health != self.reported {
            self.reported = health.clone();
            (self.tell)(DesktopEvent::Health(health));
        }
    }

    fn health(&self) -> Health {
        if self.asking.overdue() || !self.late.is_empty() {
            return Health::Slow { waiting: self.waiting.len() + self.late.len() };
        }
        match &self.last {
            None => Health::Unknown,
            Some(Ok(server)) => Health::Works { daemon: server.name.clone(), actions: server.actions },
            Some(Err(reason)) => Health::Unreachable { reason: reason.clone() },
        }
    }
}

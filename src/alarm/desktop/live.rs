//! One notification on the desktop, from its showing to its end.
//!
//! Every wait here is a future on the channel's one thread: a desktop that never answers costs no thread.

use super::{
    ask::{Server, reason},
    compose::{ACKNOWLEDGE, compose},
    health::LIMIT,
    worker::News,
};
use crate::bench::{AlarmId, Notice};
use crate::text::PlainText;
use notify_rust::{NotificationHandle, NotificationResponse, error::Error};
use std::{cell::Cell, pin::pin};
use tokio::{
    select,
    sync::{mpsc::UnboundedSender, watch},
    time::timeout,
};

/// What one alarm should show now. A newer one takes the place of one not shown yet.
#[derive(Clone)]
pub(super) struct Post {
    pub(super) notice: Notice,
    pub(super) server: Server,
}

/// How the wait for an answer ended.
enum Answer {
    Acknowledged,
    Closed,
    BusGone,
}

enum Turn {
    Answered(Answer),
    Replaced(Box<NotificationHandle>),
    Failed(PlainText),
    Withdrawn,
}

/// One alarm on the desktop. The worker is told through `news`; once the channel is dropped nobody listens there.
pub(super) struct Live {
    pub(super) alarm: AlarmId,
    pub(super) posts: watch::Receiver<Post>,
    pub(super) news: UnboundedSender<News>,
}

impl Live {
    /// Shows one post in place of the other, until acknowledged, closed, or withdrawn by dropping their sender.
    pub(super) async fn follow(mut self) {
        loop {
            let first = self.posts.borrow_and_update().clone();
            match self.show(&first, None).await {
                Ok(shown) => self.stay(shown).await,
                Err(error) => self.tell(News::Failed(reason(&error))),
            }
            // Rung again while the last one was on its way out?
            if !matches!(self.posts.has_changed(), Ok(true)) {
                return self.tell(News::Ended);
            }
        }
    }

    async fn stay(&mut self, mut shown: NotificationHandle) {
        loop {
            match self.turn(&shown).await {
                Turn::Replaced(newer) => shown = *newer,
                Turn::Failed(reason) => self.tell(News::Failed(reason)),
                Turn::Answered(Answer::Closed) => return,
                Turn::Answered(Answer::BusGone) => {
                    return self.tell(News::Failed(PlainText::new("the session bus went away")));
                }
                Turn::Answered(Answer::Acknowledged) | Turn::Withdrawn => return close(&shown).await,
            }
        }
    }

    /// Waits for an answer to what is `shown`, or for something newer to show in its place.
    async fn turn(&mut self, shown: &NotificationHandle) -> Turn {
        let (alarm, news) = (self.alarm, self.news.clone());
        let mut answer = pin!(answer(shown, || drop(news.send(News::Acknowledged(alarm)))));
        select! {
            biased;
            answer = &mut answer => return Turn::Answered(answer),
            changed = self.posts.changed() => if changed.is_err() { return Turn::Withdrawn },
        }
        let post = self.posts.borrow_and_update().clone();
        let mut newer = pin!(self.show(&post, Some(shown.id())));
        // An answer to the old one does not stop the new one: it may be on the desktop already.
        let (answered, newer) = select! {
            biased;
            answer = &mut answer => (Some(answer), newer.await),
            newer = &mut newer => (None, newer),
        };
        match (answered, newer) {
            (Some(Answer::Acknowledged), Ok(newer)) => {
                close(&newer).await;
                Turn::Answered(Answer::Acknowledged)
            }
            (Some(Answer::Acknowledged), Err(_)) => Turn::Answered(Answer::Acknowledged),
            (_, Ok(newer)) => Turn::Replaced(Box::new(newer)),
            (_, Err(error)) => Turn::Failed(reason(&error)),
        }
    }

    /// Shows `post`. Past the limit the worker hears that it is late, and the wait goes on: giving up would leave a
    /// notification that appears later without anybody to withdraw it.
    async fn show(&self, post: &Post, replaces: Option<u32>) -> Result<NotificationHandle, Error> {
        let notification = compose(&post.notice, &post.server, replaces);
        let mut showing = pin!(notification.show_async());
        if let Ok(shown) = timeout(LIMIT, &mut showing).await {
            return shown;
        }
        self.tell(News::Late(self.alarm));
        let shown = showing.await;
        self.tell(News::OnTimeAgain(self.alarm));
        shown
    }

    fn tell(&self, news: News) {
        drop(self.news.send(news));
    }
}

/// Waits until somebody answers what is `shown`; calls `acknowledged` the moment that is what they did.
async fn answer(shown: &NotificationHandle, acknowledged: impl FnOnce()) -> Answer {
    let heard = Cell::new(Answer::BusGone);
    shown
        .wait_for_action_async(|response| {
            let clicked = match response {
                NotificationResponse::Default => true,
                NotificationResponse::Action(action) => action == ACKNOWLEDGE,
                NotificationResponse::Reply(_) | NotificationResponse::Closed(_) => false,
            };
            heard.set(if clicked { Answer::Acknowledged } else { Answer::Closed });
            if clicked {
                acknowledged();
            }
        })
        .await;
    heard.into_inner()
}

/// Closes what is shown; a desktop that does not answer in time is left alone with it.
async fn close(shown: &NotificationHandle) {
    drop(timeout(LIMIT, shown.close_async()).await);
}

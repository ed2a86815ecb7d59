//! A notice as a desktop notification.

use super::ask::Server;
use crate::bench::{Notice, Urgency};
use notify_rust::{Notification, Timeout};
use std::borrow::Cow;

/// The button's identifier in the notification service's answers.
pub(super) const ACKNOWLEDGE: &str = "acknowledge";

const APP_NAME: &str = "Nightpour";
const BUTTON: &str = "Acknowledge";

/// The notification for `notice`, within what `server` can do, in place of the one numbered `replaces`.
pub(super) fn compose(notice: &Notice, server: &Server, replaces: Option<u32>) -> Notification {
    let mut notification = Notification::new();
    notification
        .appname(APP_NAME)
        .summary(notice.headline.as_str())
        .body(&body(notice.detail.as_str(), server.markup))
        .urgency(match notice.urgency {
            Urgency::Low => notify_rust::Urgency::Low,
            Urgency::Normal => notify_rust::Urgency::Normal,
            Urgency::Critical => notify_rust::Urgency::Critical,
        })
        .timeout(match notice.urgency {
            Urgency::Critical => Timeout::Never,
            Urgency::Low | Urgency::Normal => Timeout::Default,
        });
    if server.actions {
        // "default" is the notification itself being clicked.
        notification.action("default", BUTTON).action(ACKNOWLEDGE, BUTTON);
    }
    if let Some(id) = replaces {
        notification.id(id);
    }
    notification
}

/// Only the body may carry markup, so only the body needs escaping, and only where markup is understood.
fn body(text: &str, markup: bool) -> Cow<'_, str> {
    if markup { text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").into() } else { text.into() }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{AlarmId, BatchId, Insistence};
    use crate::material::Stage;
    use crate::text::PlainText;
    use notify_rust::Hint;

    fn notice(urgency: Urgency) -> Notice {
        Notice {
            alarm: AlarmId::of(BatchId(1), Stage::NextLayerOpens),
            urgency,
            insistence: Insistence::Plain,
            first: true,
            due: jiff::Timestamp::UNIX_EPOCH,
            headline: PlainText::new("Pour layer 2 & mix"),
            detail: PlainText::new("<b>48 g</b> & 0.6 g"),
        }
    }

    fn server(actions: bool, markup: bool) -> Server {
        Server { name: PlainText::new("hallway"), actions, markup }
    }

    #[test]
    fn text_stays_text_whether_or_not_markup_is_understood() {
        let plain = compose(&notice(Urgency::Normal), &server(true, false), None);
        assert_eq!((plain.summary.as_str(), plain.body.as_str()), ("Pour layer 2 & mix", "<b>48 g</b> & 0.6 g"));
        let markup = compose(&notice(Urgency::Normal), &server(true, true), None);
        assert_eq!(markup.summary, "Pour layer 2 & mix");
        assert_eq!(markup.body, "&lt;b&gt;48 g&lt;/b&gt; &amp; 0.6 g");
    }

    #[test]
    fn no_hostile_text_becomes_markup_or_more_than_text() {
        for text in crate::alarm::testing::HOSTILE {
            let notice =
                Notice { headline: PlainText::new(text), detail: PlainText::new(text), ..notice(Urgency::Normal) };
            let composed = compose(&notice, &server(true, true), None);
            assert!(
                !composed.body.contains(['<', '>']) && !composed.body.chars().any(crate::text::is_hostile),
                "{composed:?}"
            );
            assert!(!composed.summary.chars().any(crate::text::is_hostile));
            assert_eq!(composed.actions, ["default", "Acknowledge", "acknowledge", "Acknowledge"]);
        }
    }

    #[test]
    fn only_what_is_critical_never_expires() {
        let shown = [Urgency::Low, Urgency::Normal, Urgency::Critical].map(|urgency| {
            let composed = compose(&notice(urgency), &server(true, true), None);
            (composed.timeout, composed.hints.into_iter().collect::<Vec<_>>())
        });
        assert_eq!(
            shown,
            [
                (Timeout::Default, vec![Hint::Urgency(notify_rust::Urgency::Low)]),
                (Timeout::Default, vec![Hint::Urgency(notify_rust::Urgency::Normal)]),
                (Timeout::Never, vec![Hint::Urgency(notify_rust::Urgency::Critical)]),
            ]
        );
    }

    #[test]
    fn a_service_without_buttons_is_sent_none() {
        assert!(compose(&notice(Urgency::Critical), &server(false, true), None).actions.is_empty());
        assert_eq!(
            compose(&notice(Urgency::Critical), &server(true, true), None).actions,
            ["default", "Acknowledge", "acknowledge", "Acknowledge"]
        );
    }
}

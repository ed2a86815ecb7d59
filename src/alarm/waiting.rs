//! Notices that wait for a channel that does not answer: the newest of each alarm, and not without end.

use crate::bench::{AlarmId, Notice};
use std::collections::BTreeMap;

/// Most alarms kept waiting. More than a bench has running; what falls out still sounds on the other channels.
const MOST: usize = 1000;

/// That so many have not gone out, behind the reason why; nothing where there is none.
pub(super) fn more_words(waiting: usize) -> String {
    match waiting {
        0 => String::new(),
        1 => "; 1 alarm waits".to_owned(),
        many => format!("; {many} alarms wait"),
    }
}

#[derive(Debug, Default)]
pub(super) struct Waiting {
    notices: BTreeMap<AlarmId, Notice>,
}

impl Waiting {
    /// Keeps `notice` in place of an older one of its alarm; above the limit the least urgent goes.
    pub(super) fn keep(&mut self, notice: Notice) {
        self.notices.insert(notice.alarm, notice);
        if self.notices.len() > MOST {
            let least = self.notices.values().min_by_key(|kept| kept.urgency).map(|kept| kept.alarm);
            if let Some(alarm) = least {
                self.notices.remove(&alarm);
            }
        }
    }

    /// Puts `notice` back, unless a newer one of its alarm has come meanwhile.
    pub(super) fn keep_unless_newer(&mut self, notice: Notice) {
        if !self.notices.contains_key(&notice.alarm) {
            self.keep(notice);
        }
    }

    pub(super) fn forget(&mut self, alarm: AlarmId) {
        self.notices.remove(&alarm);
    }

    /// Hands over the most urgent one that waits.
    pub(super) fn take_first(&mut self) -> Option<Notice> {
        let most = self.notices.values().max_by_key(|kept| (kept.urgency, std::cmp::Reverse(kept.due)))?.alarm;
        self.notices.remove(&most)
    }

    /// Hands over everything that waits, the most urgent first.
    pub(super) fn take(&mut self) -> Vec<Notice> {
        let mut all: Vec<Notice> = std::mem::take(&mut self.notices).into_values().collect();
        all.sort_by_key(|notice| std::cmp::Reverse(notice.urgency));
        all
    }

    pub(super) fn len(&self) -> usize {
        self.notices.len()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::{BatchId, Insistence, Urgency};
    use crate::material::Stage;
    use crate::text::PlainText;

    fn notice(batch: u32, urgency: Urgency, headline: &str) -> Notice {
        Notice {
            alarm: AlarmId::of(BatchId(batch), Stage::Gel),
            urgency,
            insistence: Insistence::Plain,
            first: true,
            due: jiff::Timestamp::UNIX_EPOCH,
            headline: PlainText::new(headline),
            detail: PlainText::default(),
        }
    }

    #[test]
    fn the_newest_of_an_alarm_is_kept_and_the_most_urgent_goes_first() {
        let mut waiting = Waiting::default();
        waiting.keep(notice(1, Urgency::Low, "in an hour"));
        waiting.keep(notice(2, Urgency::Normal, "soon"));
        waiting.keep(notice(1, Urgency::Critical, "now"));
        waiting.keep(notice(3, Urgency::Critical, "withdrawn"));
        waiting.forget(notice(3, Urgency::Low, "").alarm);
        let taken = waiting.take();
        assert_eq!(taken.iter().map(|n| n.headline.as_str()).collect::<Vec<_>>(), ["now", "soon"]);
        assert_eq!(waiting.len(), 0);
    }

    #[test]
    fn above_the_limit_the_least_urgent_goes() {
        let mut waiting = Waiting::default();
        for batch in 0..1200 {
            waiting.keep(notice(batch, if batch == 150 { Urgency::Critical } else { Urgency::Low }, "gel"));
        }
        assert_eq!(waiting.len(), MOST);
        assert_eq!(waiting.take()[0].alarm.batch(), Some(BatchId(150)));
    }
}

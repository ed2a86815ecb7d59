//! A notice as it leaves the machine.

use crate::bench::{Notice, Urgency};
use jiff::Timestamp;
use serde::Serialize;

/// What is told of an alarm, in stable keys.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub(super) struct Message<'a> {
    pub headline: &'a str,
    pub detail: &'a str,
    pub urgency: &'static str,
    pub due: Timestamp,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub batch: Option<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stage: Option<&'static str>,
}

pub(super) fn message(notice: &Notice) -> Message<'_> {
    Message {
        headline: notice.headline.as_str(),
        detail: notice.detail.as_str(),
        urgency: match notice.urgency {
            Urgency::Low => "low",
            Urgency::Normal => "normal",
            Urgency::Critical => "critical",
        },
        due: notice.due,
        batch: notice.alarm.batch().map(|batch| batch.0),
        stage: notice.alarm.stage().map(crate::material::Stage::key),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alarm::testing::{HOSTILE, notice};
    use proptest::prelude::*;

    fn json(text: &str) -> serde_json::Value {
        let notice = notice(1, Urgency::Critical, text);
        let written = serde_json::to_string(&message(&notice)).unwrap();
        assert!(!written.chars().any(char::is_control), "{written:?}");
        serde_json::from_str(&written).unwrap()
    }

    #[test]
    fn hostile_text_stays_one_value() {
        for text in HOSTILE {
            let value = json(text);
            assert_eq!(value["headline"], crate::text::PlainText::new(text).as_str());
            assert_eq!(value.as_object().unwrap().len(), 6);
        }
    }

    proptest! {
        #[test]
        fn any_text_stays_one_value(text in any::<String>()) {
            prop_assert_eq!(json(&text).as_object().unwrap().len(), 6);
        }
    }
}

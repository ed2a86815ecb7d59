//! The user's own command. The alarm is in its environment and on its input, never in its command line.

use super::message::message;
use super::worker::Deliver;
use crate::bench::Notice;
use crate::limited::{self, Job};
use crate::settings::CommandSettings;
use crate::text::PlainText;

pub(super) struct OwnCommand {
    settings: CommandSettings,
}

impl OwnCommand {
    pub fn new(settings: CommandSettings) -> Self {
        Self { settings }
    }
}

impl Deliver for OwnCommand {
    fn deliver(&mut self, notice: &Notice) -> Result<PlainText, PlainText> {
        let message = message(notice);
        let variables = [
            ("NIGHTPOUR_HEADLINE", message.headline.to_owned()),
            ("NIGHTPOUR_DETAIL", message.detail.to_owned()),
            ("NIGHTPOUR_URGENCY", message.urgency.to_owned()),
            ("NIGHTPOUR_DUE", message.due.to_string()),
        ];
        let input = serde_json::to_string(&message).unwrap_or_default();
        let job = Job { run: &self.settings.run, variables: &variables, input: &input, within: self.settings.within };
        match limited::run(job) {
            Ok(_) => Ok(PlainText::new("your command ran")),
            Err(failed) => Err(PlainText::new(&failed.to_string())),
        }
    }

    fn retries(&self) -> bool {
        true
    }
}

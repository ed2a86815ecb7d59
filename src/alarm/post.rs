//! A message to an address of the user's, by HTTP POST.

use super::message::message;
use super::worker::Deliver;
use crate::bench::Notice;
use crate::settings::{PostForm, PostSettings};
use crate::text::PlainText;
use std::time::Duration;

/// A phone's service that has not answered by then is tried again.
const WITHIN: Duration = Duration::from_secs(15);

pub(super) struct Post {
    settings: PostSettings,
    agent: ureq::Agent,
}

impl Post {
    pub fn new(settings: PostSettings) -> Self {
        // A redirect would take the token elsewhere; the user names the address itself.
        let config =
            ureq::Agent::config_builder().timeout_global(Some(WITHIN)).max_redirects(0).user_agent("nightpour").build();
        Self { settings, agent: config.into() }
    }

    fn send(&self, notice: &Notice) -> Result<(), String> {
        let message = message(notice);
        let (kind, body) = match self.settings.form {
            PostForm::Json => ("application/json", serde_json::to_string(&message).map_err(|why| why.to_string())?),
            PostForm::Text => ("text/plain; charset=utf-8", format!("{}\n{}\n", message.headline, message.detail)),
        };
        let mut request = self.agent.post(&self.settings.url).header("Content-Type", kind);
        if let Some(secret) = &self.settings.token {
            let token = secret.read().map_err(|why| why.to_string())?;
            request = request.header("Authorization", format!("Bearer {token}"));
        }
        let answer = request.send(body).map_err(|why| match why {
            ureq::Error::StatusCode(code) => format!("the address answers with status {code}"),
            ureq::Error::Timeout(_) => format!("no answer within {} s", WITHIN.as_secs()),
            ureq::Error::Io(why) => format!("the address cannot be reached ({why})"),
            ureq::Error::HostNotFound => "the address's host is not known here".to_owned(),
            other => other.to_string(),
        })?;
        if answer.status().is_success() {
            Ok(())
        } else {
            Err(format!("the address answers with status {}", answer.status()))
        }
    }
}

impl Deliver for Post {
    fn deliver(&mut self, notice: &Notice) -> Result<PlainText, PlainText> {
        match self.send(notice) {
            Ok(()) => Ok(PlainText::new("message taken by your address")),
            Err(why) => Err(PlainText::new(&why)),
        }
    }

    fn retries(&self) -> bool {
        true
    }
}

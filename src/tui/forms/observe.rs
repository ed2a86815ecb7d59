//! Write down what was seen of a batch. Two keys for the usual case: `o`, then the number of the stage.

use super::{
    Wrong,
    field::{Field, Fields},
    time_field,
};
use crate::bench::{
    Batch, BatchForecast, BatchId, Bench, Command, Seen, StageForecast, StageStatus, Trust, clock_words,
};
use crate::material::Stage;
use crate::text::PlainText;
use crate::tui::theme::Role;
use jiff::Timestamp;

const STAGE: usize = 0;
const HOW: usize = 1;
pub(super) const WHEN: usize = 2;
const LAST: usize = 3;
const TRUST: usize = 4;
const TEST: usize = 5;

/// The ways a stage can have been seen, in the order of the choice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum How {
    /// Reached when looked at, some time before.
    There,
    /// Watched coming.
    Happened,
    SinceLastLook,
    NotYet,
}

const HOWS: [How; 4] = [How::There, How::Happened, How::SinceLastLook, How::NotYet];

#[derive(Debug, Clone)]
pub(in crate::tui) struct ObserveForm {
    pub(super) fields: Fields,
    batch: BatchId,
    name: String,
    stages: Vec<Stage>,
    /// From the notebook: the newest look at this batch, or its mix.
    last_look: Timestamp,
    /// As it stands in its field.
    last_look_words: String,
}

/// The place of the stage most likely to be looked for: the one that rings; else the last that should be there by now
/// and nobody saw; else the next to come. Nobody looks for the end of a chance.
fn next_to_see(forecast: &BatchForecast, ringing: Option<Stage>) -> usize {
    let unseen = |s: &&StageForecast| s.status != StageStatus::Seen && !s.stage.is_deadline();
    let by_now = |s: &&StageForecast| matches!(s.status, StageStatus::Near | StageStatus::Past);
    let candidates = || forecast.stages.iter().filter(unseen);
    let due = candidates().filter(by_now).max_by_key(|s| s.band.likely);
    let ahead = || candidates().filter(|s| s.status == StageStatus::Ahead).min_by_key(|s| s.band.likely);
    let wanted = ringing.or_else(|| due.or_else(ahead).map(|s| s.stage));
    forecast.stages.iter().position(|s| Some(s.stage) == wanted).unwrap_or(0)
}

impl ObserveForm {
    /// A form for `batch`, set to the next stage to expect; `None` where the material has no stages.
    pub fn new(batch: &Batch, forecast: Option<&BatchForecast>, ringing: Option<Stage>, bench: &Bench) -> Option<Self> {
        let stages: Vec<Stage> = forecast?.stages.iter().map(|s| s.stage).collect();
        let next = next_to_see(forecast?, ringing);
        let looks = batch.observations.iter().flat_map(|o| [o.seen.reached_by(), o.seen.not_before()]).flatten();
        let last_look = looks.max().unwrap_or(batch.started).max(batch.started);
        let numbered = stages.iter().enumerate().map(|(i, s)| format!("{} {}", i + 1, s.words())).collect();
        let hows = HOWS.map(|how| match how {
            How::There => "there when I looked".to_owned(),
            How::Happened => "saw it happen".to_owned(),
            How::SinceLastLook => "since I last looked".to_owned(),
            How::NotYet => "not yet".to_owned(),
        });
        let last_look_words = clock_words(last_look, bench.zone());
        let last = Field::text("last look", &last_look_words, "");
        let mut form = Self {
            fields: Fields::new(vec![
                Field::choice("stage", numbered, next),
                Field::choice("how", hows.to_vec(), 0),
                Field::text("when", "now", "now, 23:40, 20 min ago"),
                last,
                Field::choice("trust", vec!["sure".to_owned(), "a guess".to_owned()], 0),
                Field::text("test", "", "how you called it, if you like"),
            ]),
            batch: batch.id,
            name: batch.title().to_owned(),
            stages,
            last_look,
            last_look_words,
        };
        form.edited();
        Some(form)
    }

    /// After an edit: the last look counts only where something came since.
    pub(super) fn edited(&mut self) {
        let since = HOWS[self.fields.list[HOW].chosen()] == How::SinceLastLook;
        let last = &mut self.fields.list[LAST];
        last.applies = since;
        last.hint = if since { "from the notebook".to_owned() } else { self.last_look_words.clone() };
    }

    pub(super) fn title(&self) -> String {
        format!("batch {} · {}", self.batch, self.name)
    }

    /// Chooses a stage by its number while the choice has the focus; says whether there is one.
    pub(super) fn pick(&mut self, digit: char) -> bool {
        let index = digit.to_digit(10).and_then(|d| (d as usize).checked_sub(1));
        let Some(index) = index.filter(|i| self.fields.focus == STAGE && *i < self.stages.len()) else { return false };
        if let super::field::Body::Choice { at, .. } = &mut self.fields.list[STAGE].body {
            *at = index;
        }
        true
    }

    fn stage(&self) -> Option<Stage> {
        self.stages.get(self.fields.list[STAGE].chosen()).copied()
    }

    pub(super) fn notes(&self, bench: &Bench) -> Vec<(String, Role)> {
        let profile = bench.log().batch(self.batch).and_then(|b| b.profile.clone());
        let test = profile.as_ref().and_then(|p| p.thermal()?.stage(self.stage()?));
        let mut notes: Vec<_> = test.map(|time| (format!("Test: {}", time.test), Role::Text)).into_iter().collect();
        let numbered: Vec<String> = self
            .stages
            .iter()
            .enumerate()
            .map(|(i, s)| format!("{}\u{a0}{}", i + 1, s.words().replace(' ', "\u{a0}")))
            .collect();
        notes.push((format!("At once, as there now: {}", numbered.join(", ")), Role::Faint));
        notes
    }

    pub(super) fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        let stage = self.stage().ok_or_else(|| (STAGE, "this material has no stages".to_owned()))?;
        let at = time_field(&self.fields, WHEN, bench, now)?;
        let seen = match HOWS[self.fields.list[HOW].chosen()] {
            How::There => Seen::By { by: at },
            How::Happened => Seen::At { at },
            How::SinceLastLook => Seen::Between { after: self.last_look(bench, now)?, by: at },
            How::NotYet => Seen::NotYet { at },
        };
        let test = PlainText::new(self.fields.list[TEST].value());
        let test = (!test.is_empty()).then_some(test);
        let trust = if self.fields.list[TRUST].chosen() == 0 { Trust::Sure } else { Trust::Guess };
        Ok(Command::Observe { batch: Some(self.batch), stage, seen, test, trust, within: None })
    }

    /// What the notebook knows, to the second, unless something else was typed.
    fn last_look(&self, bench: &Bench, now: Timestamp) -> Result<Timestamp, Wrong> {
        if self.fields.list[LAST].value() == self.last_look_words {
            return Ok(self.last_look);
        }
        time_field(&self.fields, LAST, bench, now)
    }
}

//! The forms that open over the bench. Each turns what was typed into one command, or says which field is wrong.

mod field;
mod level;
mod mix;
mod observe;
mod pour;
mod reading;
mod snooze;
mod view;

use super::theme::Role;
use crate::bench::{Bench, Command, Refusal};
use crossterm::event::{KeyCode, KeyEvent};
use field::{Fields, Pressed};
use jiff::Timestamp;

pub(super) use level::LevelForm;
pub(super) use mix::MixForm;
pub(super) use observe::ObserveForm;
pub(super) use pour::PourForm;
pub(super) use reading::ReadingForm;
pub(super) use snooze::SnoozeForm;
pub(super) use view::draw;

/// A field that is wrong, and why.
type Wrong = (usize, String);

/// The form that is open.
#[derive(Debug, Clone)]
pub(super) enum Form {
    Mix(MixForm),
    Pour(PourForm),
    Level(LevelForm),
    Observe(ObserveForm),
    Reading(ReadingForm),
    Snooze(SnoozeForm),
}

/// What became of a key.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Outcome {
    Open,
    Closed,
    Submit(Command),
}

impl Form {
    fn fields(&self) -> &Fields {
        match self {
            Form::Mix(form) => &form.fields,
            Form::Pour(form) => &form.fields,
            Form::Level(form) => &form.fields,
            Form::Observe(form) => &form.fields,
            Form::Reading(form) => &form.fields,
            Form::Snooze(form) => &form.fields,
        }
    }

    fn fields_mut(&mut self) -> &mut Fields {
        match self {
            Form::Mix(form) => &mut form.fields,
            Form::Pour(form) => &mut form.fields,
            Form::Level(form) => &mut form.fields,
            Form::Observe(form) => &mut form.fields,
            Form::Reading(form) => &mut form.fields,
            Form::Snooze(form) => &mut form.fields,
        }
    }

    fn title(&self) -> String {
        match self {
            Form::Mix(_) => "mix a batch".to_owned(),
            Form::Pour(form) => form.title(),
            Form::Level(form) => form.title(),
            Form::Observe(form) => form.title(),
            Form::Reading(_) => "bench temperature".to_owned(),
            Form::Snooze(form) => form.title(),
        }
    }

    /// What the form says below its fields.
    fn notes(&self, bench: &Bench, now: Timestamp) -> Vec<(String, Role)> {
        match self {
            Form::Mix(form) => form.notes(bench, now),
            Form::Pour(form) => form.notes(bench, now),
            Form::Level(form) => form.notes(bench),
            Form::Observe(form) => form.notes(bench),
            Form::Snooze(form) => form.notes(bench, now),
            Form::Reading(_) => Vec::new(),
        }
    }

    fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        match self {
            Form::Mix(form) => form.command(bench, now),
            Form::Pour(form) => form.command(bench, now),
            Form::Level(form) => form.command(bench, now),
            Form::Observe(form) => form.command(bench, now),
            Form::Reading(form) => form.command(bench, now),
            Form::Snooze(form) => form.command(now),
        }
    }

    /// The field a refusal is about.
    fn field_of(&self, refusal: &Refusal) -> usize {
        let dose = matches!(refusal, Refusal::AbsurdDose(_) | Refusal::NoDose(_) | Refusal::DoseWithoutResin);
        let time = matches!(refusal, Refusal::InFuture(_) | Refusal::BeforeMix(_) | Refusal::NotAnInterval);
        match self {
            Form::Mix(_) if dose => mix::DOSE,
            Form::Mix(_) if time => mix::WHEN,
            Form::Pour(_) => PourForm::field_of(refusal),
            Form::Level(_) if time => level::WHEN,
            Form::Level(_) => level::LEVEL,
            Form::Observe(_) if time => observe::WHEN,
            Form::Reading(_) if time => reading::WHEN,
            Form::Reading(_) => reading::CELSIUS,
            _ => self.fields().focus,
        }
    }

    /// Takes a key.
    pub fn key(&mut self, key: KeyEvent, bench: &Bench, now: Timestamp) -> Outcome {
        if let (Form::Observe(form), KeyCode::Char(digit @ '1'..='9')) = (&mut *self, key.code)
            && form.pick(digit)
        {
            return self.submit(bench, now);
        }
        match self.fields_mut().key(key) {
            Pressed::Cancel => Outcome::Closed,
            Pressed::Submit => self.submit(bench, now),
            Pressed::Edited => {
                self.edited(bench, now);
                Outcome::Open
            }
            Pressed::Moved | Pressed::Nothing => Outcome::Open,
        }
    }

    pub fn paste(&mut self, text: &str, bench: &Bench, now: Timestamp) {
        self.fields_mut().paste(text);
        self.edited(bench, now);
    }

    /// After news from the bench: what is planned may have changed while the form was open.
    pub fn refresh(&mut self, bench: &Bench, now: Timestamp) {
        if let Form::Pour(form) = self {
            form.edited(bench, now);
        }
    }

    /// After an edit: some fields follow others.
    fn edited(&mut self, bench: &Bench, now: Timestamp) {
        match self {
            Form::Mix(form) => form.edited(bench, now),
            Form::Pour(form) => form.edited(bench, now),
            Form::Observe(form) => form.edited(),
            Form::Level(_) | Form::Reading(_) | Form::Snooze(_) => {}
        }
    }

    fn submit(&mut self, bench: &Bench, now: Timestamp) -> Outcome {
        let checked = self.command(bench, now).and_then(|command| {
            bench
                .decide(command.clone(), now)
                .map(|_| command)
                .map_err(|refusal| (self.field_of(&refusal), refusal.to_string()))
        });
        match checked {
            Ok(command) => Outcome::Submit(command),
            Err((index, error)) => {
                self.fields_mut().refuse(index, error);
                Outcome::Open
            }
        }
    }
}

/// The time typed into a form's field.
fn time_field(fields: &Fields, index: usize, bench: &Bench, now: Timestamp) -> Result<Timestamp, Wrong> {
    crate::when::parse_when(fields.list[index].value(), now, bench.zone()).map_err(|error| (index, error.to_string()))
}

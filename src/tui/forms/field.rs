//! The fields of a form: text to type, or one of several to choose.

use crate::units::UnitError;
use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};
use tui_input::{Input, InputRequest, backend::crossterm::EventHandler};

/// How one of several is chosen.
pub(super) const CHOOSE: &str = "← → or a first letter";

/// What a field holds.
#[derive(Debug, Clone)]
pub(super) enum Body {
    Text(Input),
    Choice { options: Vec<String>, at: usize },
}

/// One field.
#[derive(Debug, Clone)]
pub(super) struct Field {
    pub label: &'static str,
    pub body: Body,
    /// The unit, or what to write.
    pub hint: String,
    pub error: Option<String>,
    /// A field that does not apply is shown with its hint, and passed over.
    pub applies: bool,
    /// Holds what the program proposed: the first character typed takes its place.
    proposed: bool,
}

impl Field {
    pub fn text(label: &'static str, value: &str, hint: &str) -> Self {
        let body = Body::Text(Input::new(value.to_owned()));
        Self { label, body, hint: hint.to_owned(), error: None, applies: true, proposed: !value.is_empty() }
    }

    pub fn choice(label: &'static str, options: Vec<String>, at: usize) -> Self {
        let body = Body::Choice { options, at };
        let hint = CHOOSE.to_owned();
        Self { label, body, hint, error: None, applies: true, proposed: false }
    }

    /// What is typed or chosen.
    pub fn value(&self) -> &str {
        match &self.body {
            Body::Text(input) => input.value().trim(),
            Body::Choice { options, at } => options.get(*at).map_or("", String::as_str),
        }
    }

    pub fn chosen(&self) -> usize {
        match &self.body {
            Body::Text(_) => 0,
            Body::Choice { at, .. } => *at,
        }
    }

    /// Takes away what was typed.
    pub fn clear(&mut self) {
        if let Body::Text(input) = &mut self.body {
            input.reset();
        }
    }

    /// An optional quantity; decimal comma and a trailing unit are accepted.
    pub fn quantity<T>(&self, symbol: &str, new: impl Fn(f64) -> Result<T, UnitError>) -> Result<Option<T>, String> {
        let text = self.value();
        let bare = text.strip_suffix(symbol).unwrap_or(text).trim().replace(',', ".");
        if bare.is_empty() || !self.applies {
            return Ok(None);
        }
        let wanted = |expected: &str| format!("'{text}' is not {expected}");
        let number: f64 = bare.parse().map_err(|_| wanted("a number"))?;
        new(number).map(Some).map_err(|error| wanted(error.expected()))
    }

    fn edit(&mut self, key: KeyEvent) -> bool {
        match &mut self.body {
            Body::Text(input) => {
                let typed = matches!(key.code, KeyCode::Char(_)) && !key.modifiers.contains(KeyModifiers::CONTROL);
                if std::mem::take(&mut self.proposed) && typed {
                    input.reset();
                }
                input.handle_event(&crossterm::event::Event::Key(key)).is_some()
            }
            Body::Choice { options, at } => {
                let count = options.len().max(1);
                match key.code {
                    KeyCode::Left => *at = (*at + count - 1) % count,
                    KeyCode::Right | KeyCode::Char(' ') => *at = (*at + 1) % count,
                    KeyCode::Char(c) => {
                        let next = (1..=count).map(|step| (*at + step) % count);
                        *at = next.into_iter().find(|i| starts_with(&options[*i], c)).unwrap_or(*at);
                    }
                    _ => return false,
                }
                true
            }
        }
    }

    fn paste(&mut self, text: &str) {
        if let Body::Text(input) = &mut self.body {
            if std::mem::take(&mut self.proposed) {
                input.reset();
            }
            for c in crate::text::printable(text).chars() {
                input.handle(InputRequest::InsertChar(c));
            }
        }
    }
}

fn starts_with(option: &str, c: char) -> bool {
    option.chars().next().is_some_and(|first| first.eq_ignore_ascii_case(&c))
}

/// What a key did to the fields.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Pressed {
    Edited,
    Moved,
    Submit,
    Cancel,
    Nothing,
}

/// Several fields, one of them with the focus.
#[derive(Debug, Clone)]
pub(super) struct Fields {
    pub list: Vec<Field>,
    pub focus: usize,
}

impl Fields {
    pub fn new(list: Vec<Field>) -> Self {
        Self { list, focus: 0 }
    }

    pub fn key(&mut self, key: KeyEvent) -> Pressed {
        let control = key.modifiers.contains(KeyModifiers::CONTROL);
        match key.code {
            KeyCode::Esc => return Pressed::Cancel,
            KeyCode::Char('c') if control => return Pressed::Cancel,
            KeyCode::Enter => return Pressed::Submit,
            KeyCode::Tab | KeyCode::Down => self.step(1),
            KeyCode::BackTab | KeyCode::Up => self.step(self.list.len().saturating_sub(1)),
            _ => {
                let edited = self.list.get_mut(self.focus).is_some_and(|field| field.edit(key));
                if !edited {
                    return Pressed::Nothing;
                }
                // What was wrong with the whole may be put right anywhere.
                for field in &mut self.list {
                    field.error = None;
                }
                return Pressed::Edited;
            }
        }
        Pressed::Moved
    }

    pub fn paste(&mut self, text: &str) {
        if let Some(field) = self.list.get_mut(self.focus) {
            field.paste(text);
        }
    }

    /// Moves the focus by `step` fields, over those that do not apply.
    fn step(&mut self, step: usize) {
        let count = self.list.len().max(1);
        for _ in 0..count {
            self.focus = (self.focus + step) % count;
            if self.list.get(self.focus).is_some_and(|f| f.applies) {
                break;
            }
        }
    }

    /// Marks what is wrong with a field and goes there.
    pub fn refuse(&mut self, index: usize, error: String) {
        if let Some(field) = self.list.get_mut(index) {
            field.error = Some(error);
            self.focus = index;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Grams;

    fn press(fields: &mut Fields, code: KeyCode) -> Pressed {
        fields.key(KeyEvent::new(code, KeyModifiers::NONE))
    }

    #[test]
    fn numbers_may_have_a_comma_and_a_unit() {
        let grams = |text: &str| Field::text("resin", text, "g").quantity("g", Grams::new);
        assert_eq!(grams("83,2 g").unwrap().unwrap().get().to_bits(), 83.2f64.to_bits());
        assert_eq!(grams("  ").unwrap(), None);
        assert_eq!(grams("-4").unwrap_err(), "'-4' is not a mass in grams above 0");
        assert_eq!(grams("much").unwrap_err(), "'much' is not a number");
    }

    #[test]
    fn what_is_typed_takes_the_place_of_what_was_proposed() {
        let mut fields = Fields::new(vec![Field::text("for", "10", "minutes")]);
        press(&mut fields, KeyCode::Char('5'));
        assert_eq!(fields.list[0].value(), "5");
        press(&mut fields, KeyCode::Char('0'));
        assert_eq!(fields.list[0].value(), "50");
        let mut fields = Fields::new(vec![Field::text("for", "10", "minutes")]);
        press(&mut fields, KeyCode::Backspace);
        press(&mut fields, KeyCode::Char('5'));
        assert_eq!(fields.list[0].value(), "15", "edited, not replaced");
    }

    #[test]
    fn the_focus_passes_over_fields_that_do_not_apply() {
        let mut fields =
            Fields::new(vec![Field::text("a", "", ""), Field::text("b", "", ""), Field::text("c", "", "")]);
        fields.list[1].applies = false;
        press(&mut fields, KeyCode::Tab);
        assert_eq!(fields.focus, 2);
        press(&mut fields, KeyCode::Up);
        assert_eq!(fields.focus, 0);
    }

    #[test]
    fn a_letter_goes_to_the_next_choice_that_starts_with_it() {
        let options = ["clear-polyester", "coating-epoxy", "slow-epoxy"].map(str::to_owned).to_vec();
        let mut fields = Fields::new(vec![Field::choice("material", options, 0)]);
        press(&mut fields, KeyCode::Char('c'));
        assert_eq!(fields.list[0].value(), "coating-epoxy");
        press(&mut fields, KeyCode::Char('c'));
        assert_eq!(fields.list[0].value(), "clear-polyester");
        press(&mut fields, KeyCode::Char('s'));
        assert_eq!(fields.list[0].value(), "slow-epoxy");
    }
}

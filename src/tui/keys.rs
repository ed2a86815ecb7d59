//! The key table: what each key does on the bench. Help and the hint line are printed from it.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// What a key asks for on the bench screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    Mix,
    Observe,
    Temperature,
    Acknowledge,
    Snooze,
    Finish,
    Undo,
    SelectUp,
    SelectDown,
    ScrollUp,
    ScrollDown,
    Help,
    Suspend,
    Quit,
}

/// One line of the table.
#[derive(Debug)]
pub struct Binding {
    pub action: Action,
    codes: &'static [KeyCode],
    /// The key as printed.
    pub shown: &'static str,
    /// What it does, in a word, for the hint line; empty: not in the hint line.
    pub hint: &'static str,
    /// What it does, for help.
    pub help: &'static str,
}

/// Every key of the bench screen.
pub const TABLE: [Binding; 14] = [
    Binding {
        action: Action::Acknowledge,
        codes: &[KeyCode::Char('a')],
        shown: "a",
        hint: "ack",
        help: "acknowledge the alarm shown in big digits",
    },
    Binding {
        action: Action::Snooze,
        codes: &[KeyCode::Char('z')],
        shown: "z",
        hint: "snooze",
        help: "let that alarm rest for some minutes",
    },
    Binding {
        action: Action::Mix,
        codes: &[KeyCode::Char('m')],
        shown: "m",
        hint: "mix",
        help: "mix a batch: its clock starts at first contact of the parts",
    },
    Binding {
        action: Action::Observe,
        codes: &[KeyCode::Char('o')],
        shown: "o",
        hint: "observe",
        help: "write down what you saw of the batch that rings, else of the chosen one",
    },
    Binding {
        action: Action::Temperature,
        codes: &[KeyCode::Char('t')],
        shown: "t",
        hint: "temp",
        help: "enter the bench temperature",
    },
    Binding {
        action: Action::Undo,
        codes: &[KeyCode::Char('u')],
        shown: "u",
        hint: "undo",
        help: "undo the newest entry of the notebook, once you have seen which",
    },
    Binding {
        action: Action::Finish,
        codes: &[KeyCode::Char('f')],
        shown: "f",
        hint: "finish",
        help: "finish with the chosen batch: its clock and alarms go",
    },
    Binding {
        action: Action::SelectUp,
        codes: &[KeyCode::Up, KeyCode::Char('k')],
        shown: "↑",
        hint: "",
        help: "choose the batch above",
    },
    Binding {
        action: Action::SelectDown,
        codes: &[KeyCode::Down, KeyCode::Char('j')],
        shown: "↓",
        hint: "",
        help: "choose the batch below",
    },
    Binding {
        action: Action::ScrollUp,
        codes: &[KeyCode::PageUp],
        shown: "PgUp",
        hint: "",
        help: "older lines of the notebook",
    },
    Binding {
        action: Action::ScrollDown,
        codes: &[KeyCode::PageDown],
        shown: "PgDn",
        hint: "",
        help: "newer lines of the notebook",
    },
    Binding {
        action: Action::Help,
        codes: &[KeyCode::Char('?'), KeyCode::F(1)],
        shown: "?",
        hint: "help",
        help: "this list",
    },
    Binding {
        action: Action::Suspend,
        codes: &[],
        shown: "Ctrl-Z",
        hint: "",
        help: "back to the shell; 'fg' returns (alarms are silent meanwhile)",
    },
    Binding {
        action: Action::Quit,
        codes: &[KeyCode::Char('q')],
        shown: "q",
        hint: "quit",
        help: "quit; asks first while clocks run, since quitting stops the alarms",
    },
];

/// The action bound to `key`, if any.
pub fn action_for(key: KeyEvent) -> Option<Action> {
    if key.modifiers.contains(KeyModifiers::CONTROL) {
        return match key.code {
            KeyCode::Char('c') => Some(Action::Quit),
            KeyCode::Char('z') => Some(Action::Suspend),
            _ => None,
        };
    }
    TABLE.iter().find(|b| b.codes.contains(&key.code)).map(|b| b.action)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_does_two_things() {
        let all: Vec<_> = TABLE.iter().flat_map(|b| b.codes).collect();
        for (i, code) in all.iter().enumerate() {
            assert!(!all[i + 1..].contains(code), "{code:?} is bound twice");
        }
    }

    #[test]
    fn control_keys_are_not_plain_keys() {
        let key = |code, modifiers| action_for(KeyEvent::new(code, modifiers));
        assert_eq!(key(KeyCode::Char('z'), KeyModifiers::NONE), Some(Action::Snooze));
        assert_eq!(key(KeyCode::Char('z'), KeyModifiers::CONTROL), Some(Action::Suspend));
        assert_eq!(key(KeyCode::Char('m'), KeyModifiers::CONTROL), None);
    }
}

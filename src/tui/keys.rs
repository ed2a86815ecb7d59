//! The key table: what each key does on the bench. Help and the hint line are printed from it.

use crossterm::event::{KeyCode, KeyEvent, KeyModifiers};

/// What a key asks for on the bench screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    Night,
    GoBy,
    Hold,
    Piece,
    Pour,
    Level,
    Tick,
    PieceBefore,
    PieceAfter,
    Back,
    Mix,
    Observe,
    Bedside,
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

/// Where a key is of use, and so where the hint line names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Where {
    Everywhere,
    /// With a piece on the bench.
    WithPiece,
    /// On the piece's page.
    Page,
    /// On the night's page.
    Night,
}

/// One line of the table.
#[derive(Debug)]
pub struct Binding {
    pub action: Action,
    pub of_use: Where,
    codes: &'static [KeyCode],
    /// The key as printed.
    pub shown: &'static str,
    /// What it does, in a word, for the hint line; empty: not in the hint line.
    pub hint: &'static str,
    /// What it does, for help.
    pub help: &'static str,
}

/// Every key of the bench screen.
pub const TABLE: [Binding; 25] = [
    Binding {
        action: Action::Acknowledge,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('a')],
        shown: "a",
        hint: "ack",
        help: "acknowledge the alarm shown in big digits",
    },
    Binding {
        action: Action::Snooze,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('z')],
        shown: "z",
        hint: "snooze",
        help: "let that alarm rest for some minutes",
    },
    Binding {
        action: Action::Piece,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Char('p')],
        shown: "p",
        hint: "piece",
        help: "open the piece's page: its order of work, its layers and their weights",
    },
    Binding {
        action: Action::Night,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Char('n')],
        shown: "n",
        hint: "night",
        help: "the night's page: when to pour each layer that is left, so that you can sleep",
    },
    Binding {
        action: Action::GoBy,
        of_use: Where::Night,
        codes: &[KeyCode::Char('g')],
        shown: "g",
        hint: "go by these",
        help: "on the night's page: go by these pour times, so that alarms ring for them",
    },
    Binding {
        action: Action::Hold,
        of_use: Where::Night,
        codes: &[KeyCode::Char('h')],
        shown: "h",
        hint: "hold on",
        help: "on the night's page: hold on to the times you go by, whatever has changed",
    },
    Binding {
        action: Action::Pour,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Char('l')],
        shown: "l",
        hint: "pour",
        help: "pour the next layer of the piece, with what was really weighed",
    },
    Binding {
        action: Action::Level,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Char('e')],
        shown: "e",
        hint: "level",
        help: "enter the level the resin was found at",
    },
    Binding {
        action: Action::Mix,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('m')],
        shown: "m",
        hint: "mix",
        help: "mix a batch: its clock starts at first contact of the parts",
    },
    Binding {
        action: Action::Observe,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('o')],
        shown: "o",
        hint: "observe",
        help: "write down what you saw of the batch that rings, else of the chosen one",
    },
    Binding {
        action: Action::Temperature,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('t')],
        shown: "t",
        hint: "°C",
        help: "enter the bench temperature",
    },
    Binding {
        action: Action::Bedside,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('b')],
        shown: "b",
        hint: "bed",
        help: "the bedside view: few words, huge digits, dim until something rings",
    },
    Binding {
        action: Action::Undo,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('u')],
        shown: "u",
        hint: "undo",
        help: "undo the newest entry of the notebook, once you have seen which",
    },
    Binding {
        action: Action::Finish,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('f')],
        shown: "f",
        hint: "finish",
        help: "finish with the chosen batch: its clock and alarms go; on the piece's page, with the piece",
    },
    Binding {
        action: Action::SelectUp,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Up, KeyCode::Char('k')],
        shown: "↑",
        hint: "",
        help: "choose the batch above; on the piece's page, the step; on the night's page, layers above",
    },
    Binding {
        action: Action::SelectDown,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Down, KeyCode::Char('j')],
        shown: "↓",
        hint: "",
        help: "choose the batch below; on the piece's page, the step; on the night's page, layers below",
    },
    Binding {
        action: Action::ScrollUp,
        of_use: Where::Everywhere,
        codes: &[KeyCode::PageUp],
        shown: "PgUp",
        hint: "",
        help: "older lines of the notebook",
    },
    Binding {
        action: Action::ScrollDown,
        of_use: Where::Everywhere,
        codes: &[KeyCode::PageDown],
        shown: "PgDn",
        hint: "",
        help: "newer lines of the notebook",
    },
    Binding {
        action: Action::Tick,
        of_use: Where::Page,
        codes: &[KeyCode::Enter, KeyCode::Char(' ')],
        shown: "Enter",
        hint: "tick",
        help: "on the piece's page: tick the chosen step, or pour where it is a pour",
    },
    Binding {
        action: Action::Back,
        of_use: Where::Page,
        codes: &[KeyCode::Esc],
        shown: "Esc",
        hint: "back",
        help: "from the piece's page back to the bench",
    },
    Binding {
        action: Action::PieceBefore,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Left],
        shown: "←",
        hint: "",
        help: "choose the piece before, where there are several; on the night's page, get up earlier",
    },
    Binding {
        action: Action::PieceAfter,
        of_use: Where::WithPiece,
        codes: &[KeyCode::Right],
        shown: "→",
        hint: "",
        help: "choose the piece after; on the night's page, get up later: which dose is open then?",
    },
    Binding {
        action: Action::Help,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('?'), KeyCode::F(1)],
        shown: "?",
        hint: "help",
        help: "this list",
    },
    Binding {
        action: Action::Suspend,
        of_use: Where::Everywhere,
        codes: &[],
        shown: "Ctrl-Z",
        hint: "",
        help: "back to the shell; 'fg' returns (alarms are silent meanwhile, unless a vigil runs)",
    },
    Binding {
        action: Action::Quit,
        of_use: Where::Everywhere,
        codes: &[KeyCode::Char('q')],
        shown: "q",
        hint: "quit",
        help: "quit; asks first while clocks run, since quitting stops the alarms, unless a vigil runs",
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

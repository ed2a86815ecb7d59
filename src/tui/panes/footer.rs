//! The last two lines: what was just said, and what the keys do.

use super::View;
use crate::fit::clipped;
use crate::tui::{
    keys::{self, Action, Where},
    theme::Role,
};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

pub(super) fn draw_message(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    if let Some((line, role)) = view.ui.message() {
        let sign = if role == Role::Warn { "! " } else { "" };
        let text = clipped(&format!("{sign}{line}"), usize::from(area.width));
        frame.render_widget(Line::styled(text, view.style(role)), area);
    }
}

pub(super) fn draw_keys(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let mut spans = Vec::new();
    let mut used = 0;
    // Help stays in sight on any width; the rest goes as far as it fits: what is of use only here and now, then the
    // others in the order of the table.
    let here = here(view);
    let hinted = || {
        let told = move |b: &&keys::Binding| !b.hint.is_empty() && !is_the_page(here, b.action);
        of_use(here).iter().flat_map(move |place| keys::TABLE.iter().filter(move |b| b.of_use == *place).filter(told))
    };
    let room = |b: &&keys::Binding| b.shown.chars().count() + b.hint.chars().count() + 3;
    let help_room = hinted().filter(|b| b.action == Action::Help).map(|b| room(&b)).sum::<usize>();
    // Two blanks stand behind each hint, but may be missing behind the last.
    let mut limit = (usize::from(area.width) + 2).saturating_sub(help_room);
    for binding in hinted() {
        if binding.action == Action::Help {
            limit += help_room;
        }
        if used + room(&binding) > limit {
            continue;
        }
        used += room(&binding);
        spans.push(Span::styled(binding.shown, view.style(Role::Focus)));
        spans.push(Span::styled(format!(" {}  ", binding.hint), view.style(Role::Faint)));
    }
    frame.render_widget(Line::from(spans), area);
}

fn here(view: View<'_>) -> Where {
    match view.bench.pieces().next() {
        _ if view.ui.night_is_open(view.bench) => Where::Night,
        _ if view.ui.page_is_open(view.bench) => Where::Page,
        Some(_) => Where::WithPiece,
        None => Where::Everywhere,
    }
}

/// Whose keys are named, those of this place before the others.
fn of_use(here: Where) -> &'static [Where] {
    match here {
        Where::Night => &[Where::Night, Where::Page, Where::WithPiece, Where::Everywhere],
        Where::Page => &[Where::Page, Where::WithPiece, Where::Everywhere],
        Where::WithPiece => &[Where::WithPiece, Where::Everywhere],
        Where::Everywhere => &[Where::Everywhere],
    }
}

/// A page does not offer to open itself, and the night has nothing to tick.
fn is_the_page(here: Where, action: Action) -> bool {
    matches!(
        (here, action),
        (Where::Page, Action::Piece) | (Where::Night, Action::Night | Action::Tick | Action::Pour | Action::Level)
    )
}

//! The last two lines: what was just said, and what the keys do.

use super::View;
use crate::fit::clipped;
use crate::tui::{keys, theme::Role};
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
    // Help stays in sight on any width; the rest goes as far as it fits, in the order of the table.
    let hinted = || keys::TABLE.iter().filter(|b| !b.hint.is_empty());
    let room = |b: &&keys::Binding| b.shown.chars().count() + b.hint.chars().count() + 3;
    let help_room = hinted().filter(|b| b.action == keys::Action::Help).map(|b| room(&b)).sum::<usize>();
    let mut limit = usize::from(area.width).saturating_sub(help_room);
    for binding in hinted() {
        if binding.action == keys::Action::Help {
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

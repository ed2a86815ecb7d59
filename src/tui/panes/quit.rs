//! Quitting stops the alarms, so it asks while clocks run.

use super::{View, popup};
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
    widgets::{Paragraph, Wrap},
};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let inside = popup(frame, area, view, "quit?", (56, 7));
    let running = view.bench.log().running().count();
    let clocks = if running == 1 { "1 clock runs".to_owned() } else { format!("{running} clocks run") };
    let lines = vec![
        Line::styled(format!("{clocks}. Quitting stops the alarms."), view.style(Role::Warn)),
        Line::raw("The notebook keeps everything; the clocks go on when you return."),
        Line::from(vec![
            Span::styled("q", view.style(Role::Focus)),
            Span::raw(" quit   "),
            Span::styled("Esc", view.style(Role::Focus)),
            Span::raw(" stay"),
        ]),
    ];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), inside);
}

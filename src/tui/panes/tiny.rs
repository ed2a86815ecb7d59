//! A screen too small for panes: one plain message, with the next action in it.

use super::View;
use crate::tui::{layout::SMALLEST, picture, theme::Role};
use ratatui::{
    Frame,
    layout::Rect,
    text::Line,
    widgets::{Paragraph, Wrap},
};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let bench = view.bench;
    let mut lines = Vec::new();
    if let Some(alarm) = bench.next_alarm() {
        let title = bench.title_of(alarm.id);
        let words = format!("{} {} · {title}", picture::countdown(alarm, view.now), alarm.words());
        lines.push(Line::styled(words, view.style(Role::Focus)));
    }
    lines.push(Line::raw(format!(
        "Nightpour needs {}×{}; this is {}×{}. Alarms go on.",
        SMALLEST.0, SMALLEST.1, area.width, area.height
    )));
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), area);
}

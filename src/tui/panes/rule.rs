//! Headings and frames shared by the panes.

use super::View;
use crate::fit::clipped;
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::{Margin, Rect},
    text::{Line, Span},
    widgets::Clear,
};
use unicode_width::UnicodeWidthStr;

/// Draws a heading over a thin rule and returns the place below it.
pub(super) fn heading(frame: &mut Frame<'_>, area: Rect, view: View<'_>, title: &str, note: &str) -> Rect {
    if area.height == 0 {
        return area;
    }
    let width = usize::from(area.width);
    // The note says what a key does here; of the title half is enough.
    let room = width.saturating_sub(note.width() + 6).max(width / 2);
    let title = clipped(title, if note.is_empty() { width.saturating_sub(2) } else { room });
    let note = clipped(note, width.saturating_sub(title.width() + 6));
    let fill = width.saturating_sub(title.width() + note.width() + 4);
    let line = Line::from(vec![
        Span::styled(title, view.style(Role::Title)),
        Span::styled(format!(" {} ", "─".repeat(fill)), view.style(Role::Faint)),
        Span::styled(note, view.style(Role::Faint)),
    ]);
    frame.render_widget(line, Rect { height: 1, ..area });
    Rect { y: area.y + 1, height: area.height - 1, ..area }
}

/// Clears a place of about `width`×`height` in the middle of `area` and returns its inside.
pub(in crate::tui) fn popup(frame: &mut Frame<'_>, area: Rect, view: View<'_>, title: &str, size: (u16, u16)) -> Rect {
    let (width, height) = (size.0.min(area.width), size.1.min(area.height));
    let place = Rect { x: area.x + (area.width - width) / 2, y: area.y + (area.height - height) / 2, width, height };
    // A blank column on either side keeps what lies behind from running into the form.
    frame.render_widget(Clear, Rect { x: place.x.saturating_sub(1), width: width + 2, ..place }.intersection(area));
    let edge = Line::styled("━".repeat(usize::from(width)), view.style(Role::Focus));
    frame.render_widget(edge.clone(), Rect { height: 1.min(height), ..place });
    let title = clipped(title, usize::from(width.saturating_sub(6)));
    let label = Line::styled(format!(" {title} "), view.style(Role::Focus));
    frame.render_widget(
        label,
        Rect { x: place.x + 2.min(width), width: width.saturating_sub(4), height: 1.min(height), ..place },
    );
    if height > 1 {
        frame.render_widget(edge, Rect { y: place.y + height - 1, height: 1, ..place });
    }
    place.inner(Margin { horizontal: 2.min(width / 2), vertical: 1.min(height / 2) })
}

/// Keeps the first `rows` of `lines`; where that is not all of them, a mark at the end says so.
pub(super) fn cut(lines: &mut Vec<(String, Role)>, rows: usize, width: usize) {
    if lines.len() <= rows {
        return;
    }
    lines.truncate(rows);
    if let Some((last, _)) = lines.last_mut() {
        *last = clipped(&format!("{last} …"), width);
    }
}

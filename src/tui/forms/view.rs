//! How a form looks: its fields, then its notes as far as they fit.

use super::{
    Form,
    field::{Body, Field},
};
use crate::fit::{clipped, hanging};
use crate::tui::panes::{View, popup};
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::{Position, Rect},
    text::{Line, Span},
    widgets::Paragraph,
};

/// Columns for the labels.
const LABEL: u16 = 11;
/// Widest form.
const WIDTH: u16 = 92;

pub(in crate::tui) fn draw(frame: &mut Frame<'_>, area: Rect, form: &Form, view: View<'_>) {
    let fields = form.fields();
    // On a narrow screen the line of a field is too short for what is wrong with it.
    let wrong = fields.list.iter().filter_map(|f| f.error.clone()).filter(|_| area.width < 60);
    let notes = wrong.map(|error| (format!("! {error}"), Role::Warn)).chain(form.notes(view.bench, view.now));
    let width = WIDTH.min(area.width);
    let wrap = |(text, role): (String, Role)| {
        let lines = hanging("", &text, usize::from(width.saturating_sub(4)));
        lines.into_iter().map(move |line| Line::styled(line, view.style(role)))
    };
    let notes: Vec<Line<'_>> = notes.flat_map(wrap).collect();
    let note_rows = u16::try_from(notes.len()).unwrap_or(u16::MAX);
    let field_rows = u16::try_from(fields.list.len()).unwrap_or(u16::MAX);
    let gap = u16::from(area.height > 20);
    let height = field_rows.saturating_add(note_rows).saturating_add(4 + gap);
    let inside = popup(frame, area, view, &form.title(), (width, height));
    let [body, keys] = split_last_line(inside);
    for (i, field) in fields.list.iter().enumerate() {
        let y = body.y + u16::try_from(i).unwrap_or(u16::MAX);
        if y < body.bottom() {
            draw_field(frame, Rect { y, height: 1, ..body }, view, field, i == fields.focus);
        }
    }
    let top = (body.y + field_rows + gap).min(body.bottom());
    let place = Rect { y: top, height: body.bottom() - top, ..body };
    let room = usize::from(place.height);
    let first = view.ui.overlay_scroll().min(notes.len().saturating_sub(room));
    let more = notes.len() > room;
    let shown: Vec<Line<'_>> = notes.into_iter().skip(first).take(room).collect();
    frame.render_widget(Paragraph::new(shown), place);
    let scroll = if more { "PgDn more   " } else { "" };
    let hint = format!("{scroll}Enter writes it down   Esc leaves   Tab ↑ ↓ next field   ← → choose");
    let hint = clipped(&hint, usize::from(keys.width));
    frame.render_widget(Line::styled(hint, view.style(Role::Faint)), keys);
}

fn split_last_line(area: Rect) -> [Rect; 2] {
    let last = area.height.saturating_sub(1);
    [Rect { height: last, ..area }, Rect { y: area.y + last, height: area.height.min(1), ..area }]
}

fn draw_field(frame: &mut Frame<'_>, area: Rect, view: View<'_>, field: &Field, focused: bool) {
    let label = Rect { width: LABEL.min(area.width), ..area };
    let mark = if focused { "▸" } else { " " };
    let label_role = if focused { Role::Focus } else { Role::Faint };
    frame.render_widget(Line::styled(format!("{mark}{}", field.label), view.style(label_role)), label);
    let place = Rect { x: area.x + label.width, width: area.width - label.width, ..area };
    let width = usize::from(place.width);
    let (hint, hint_role) = match &field.error {
        Some(error) => (format!("! {error}"), Role::Warn),
        // In brackets, or it would read like part of what was typed.
        None if field.applies => (format!("({})", field.hint), Role::Faint),
        None => (field.hint.clone(), Role::Faint),
    };
    if !field.applies {
        frame.render_widget(Line::styled(clipped(&hint, width), view.style(hint_role)), place);
        return;
    }
    let value = match &field.body {
        Body::Text(input) => {
            if focused {
                let cursor = u16::try_from(input.visual_cursor()).unwrap_or(0).min(place.width.saturating_sub(1));
                frame.set_cursor_position(Position::new(place.x + cursor, place.y));
            }
            input.value().to_owned()
        }
        Body::Choice { .. } => format!("‹ {} ›", field.value()),
    };
    let hint = if matches!(field.body, Body::Choice { .. }) && !focused && field.error.is_none() { "" } else { &hint };
    let value = clipped(&value, width);
    let room = width.saturating_sub(Span::raw(value.as_str()).width() + 2);
    let line = Line::from(vec![
        Span::styled(value, view.style(if focused { Role::Title } else { Role::Text })),
        Span::raw("  "),
        Span::styled(clipped(hint, room), view.style(hint_role)),
    ]);
    frame.render_widget(line, place);
}

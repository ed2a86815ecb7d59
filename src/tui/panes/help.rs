//! Help, printed from the key table.

use super::{View, popup};
use crate::fit::{clipped, wrapped};
use crate::tui::{keys, theme::Role};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// Below the keys: the signs, and the usual caution that estimates are not promises.
const NOTES: [&str; 6] = [
    "Signs: ✓ seen  ~ any moment  ? should be there, nobody looked  × never at this temperature",
    "Under a time stands its band: minutes, hours or days before and after it. Dashed: the floor of a running material.",
    "A time counts the resin's own heat where its depth is known; 'plain' is the bench alone.",
    "Temperatures: ● bench  ○ held  + inside the resin, predicted  R measured in the resin.",
    "In a piece's section: ~ liquid  ▒ gel  █ set  ╌ planned  ◆ an item  ◂ the level.",
    "Times are estimates from a model; the label and a trial cup come first.",
];
/// Columns of the key names.
const KEY: usize = 7;
const WIDTH: u16 = 78;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let width = usize::from(WIDTH.min(area.width).saturating_sub(4));
    let mut lines: Vec<Line<'_>> = keys::TABLE.iter().flat_map(|b| binding(b, width, view)).collect();
    lines.push(Line::raw(""));
    let notes = NOTES.iter().flat_map(|note| wrapped(note, width));
    lines.extend(notes.map(|line| Line::styled(line, view.style(Role::Faint))));
    let rows = u16::try_from(lines.len()).unwrap_or(u16::MAX);
    let inside = popup(frame, area, view, "keys", (WIDTH, rows.saturating_add(4)));
    let body = usize::from(inside.height.saturating_sub(1));
    let first = view.ui.overlay_scroll().min(lines.len().saturating_sub(body));
    let hint = if lines.len() > body { "↑ ↓ scroll, any other key closes" } else { "any key closes" };
    for (line, y) in lines.into_iter().skip(first).take(body).zip(inside.y..) {
        frame.render_widget(line, Rect { y, height: 1, ..inside });
    }
    if inside.height > 0 {
        let last = Rect { y: inside.bottom() - 1, height: 1, ..inside };
        frame.render_widget(Line::styled(clipped(hint, width), view.style(Role::Faint)), last);
    }
}

fn binding(binding: &keys::Binding, width: usize, view: View<'_>) -> Vec<Line<'static>> {
    let name = |i: usize| if i == 0 { format!("{:<KEY$}", binding.shown) } else { " ".repeat(KEY) };
    let words = wrapped(binding.help, width.saturating_sub(KEY));
    let line = |(i, words): (usize, String)| {
        Line::from(vec![Span::styled(name(i), view.style(Role::Focus)), Span::raw(words)])
    };
    words.into_iter().enumerate().map(line).collect()
}

//! Help, printed from the key table.

use super::{View, popup};
use crate::fit::clipped;
use crate::tui::{keys, theme::Role};
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// The usual caution, in short: estimates are not promises.
const CAUTION: [&str; 3] = [
    "Times are estimates from a model; the label and a trial cup come first.",
    "Signs: ✓ seen  ~ any moment  ? should be there, nobody looked  × never",
    "Any key closes this.",
];

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let rows = u16::try_from(keys::TABLE.len() + CAUTION.len() + 3).unwrap_or(u16::MAX);
    let inside = popup(frame, area, view, "keys", (78, rows));
    let width = usize::from(inside.width);
    let keys = keys::TABLE.iter().map(|b| {
        Line::from(vec![
            Span::styled(format!("{:<7}", b.shown), view.style(Role::Focus)),
            Span::raw(clipped(b.help, width.saturating_sub(7))),
        ])
    });
    // On a low screen the keys go first; the words below them may be cut off.
    let gap =
        if usize::from(inside.height) > keys::TABLE.len() + CAUTION.len() { vec![Line::raw("")] } else { Vec::new() };
    let words = CAUTION.iter().map(|line| Line::styled(clipped(line, width), view.style(Role::Faint)));
    for (line, y) in keys.chain(gap).chain(words).zip(inside.y..inside.bottom()) {
        frame.render_widget(line, Rect { y, height: 1, ..inside });
    }
}

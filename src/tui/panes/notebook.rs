//! The newest lines of the notebook, what was undone crossed out.

use super::View;
use super::rule::heading;
use crate::bench::{clock_words, entry_words};
use crate::fit::clipped;
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    style::Modifier,
    text::{Line, Span},
};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let bench = view.bench;
    let scrolled = view.ui.notebook_scroll();
    let note = if scrolled > 0 { format!("{scrolled} newer below") } else { "u undoes the newest".to_owned() };
    let inside = heading(frame, area, view, "notebook", &note);
    let rows = usize::from(inside.height);
    let lines: Vec<_> = bench.log().tail().rev().skip(scrolled).take(rows).collect();
    let width = usize::from(inside.width);
    for ((stored, undone), y) in lines.into_iter().rev().zip(inside.y..) {
        let role = if undone { Role::Faint } else { Role::Text };
        let sign = if undone { "× " } else { "" };
        let words = clipped(
            &format!("{sign}{}", entry_words(&stored.entry, bench.log(), bench.zone())),
            width.saturating_sub(6),
        );
        let mut style = view.style(role);
        if undone {
            style = style.add_modifier(Modifier::CROSSED_OUT);
        }
        let line = Line::from(vec![
            Span::styled(format!("{} ", clock_words(stored.happened, bench.zone())), view.style(Role::Faint)),
            Span::styled(words, style),
        ]);
        frame.render_widget(line, Rect { y, height: 1, ..inside });
    }
}

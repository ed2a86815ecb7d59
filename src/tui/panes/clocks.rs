//! The running batches: one bar each, cut into its stages in the order they are likely to come.

mod bar;
mod row;

use super::View;
use super::rule::heading;
use crate::bench::{Batch, BatchForecast};
use crate::tui::theme::Role;
use ratatui::{Frame, layout::Rect, text::Line};

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let batches: Vec<(&Batch, Option<&BatchForecast>)> = view.bench.running().collect();
    let note = if area.width >= 60 { "█ passed  ▓ ▒ any moment  ░ ahead  ✓ seen" } else { "" };
    let inside = heading(frame, area, view, "clocks", note);
    if batches.is_empty() {
        frame.render_widget(Line::styled("none", view.style(Role::Faint)), inside);
        return;
    }
    let form = row::Form::for_place(inside, batches.len());
    let selected = batches.iter().position(|(b, _)| Some(b.id) == view.ui.selected(view.bench)).unwrap_or(0);
    let fits = (usize::from(inside.height) / form.height()).max(1);
    // Scroll by whole rows so that the chosen batch is always in sight.
    let first = selected.saturating_sub(fits - 1).min(batches.len().saturating_sub(fits));
    let mut y = inside.y;
    for (i, (batch, forecast)) in batches.iter().enumerate().skip(first) {
        let height = u16::try_from(form.height()).unwrap_or(1);
        if y + height > inside.bottom() {
            break;
        }
        let place = Rect { y, height, ..inside };
        row::draw(frame, place, view, form, &row::Row { batch, forecast: *forecast, chosen: i == selected });
        y += height;
    }
    let hidden = batches.len() - batches.len().min(first + fits) + first;
    if hidden > 0 && inside.height > 0 {
        let more = format!("{hidden} more ↑↓");
        let width = u16::try_from(more.chars().count()).unwrap_or(0).min(inside.width);
        let place = Rect { x: inside.right() - width, y: area.y, width, height: 1 };
        frame.render_widget(Line::styled(more, view.style(Role::Warn)), place);
    }
}

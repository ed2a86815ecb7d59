//! The running batches: one bar each, cut into its stages in the order they are likely to come.

mod bar;
mod row;

use super::View;
use super::rule::heading;
use crate::bench::{Batch, BatchForecast};
use crate::tui::theme::Role;
use ratatui::{Frame, layout::Rect, text::Line};
use row::Form;
use std::ops::Range;

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let batches: Vec<(&Batch, Option<&BatchForecast>)> = view.bench.running().collect();
    let learned =
        batches.iter().filter_map(|(_, f)| f.as_ref()).any(|f| f.stages.iter().any(|s| s.learned_from.is_some()));
    let note = match (area.width >= 60, learned) {
        (true, false) => "█ passed  ▓ ▒ any moment  ░ ahead  ✓ seen",
        (true, true) => "* learned  █ passed  ▓ ▒ any moment  ░ ahead  ✓ seen",
        (false, _) => "",
    };
    let inside = heading(frame, area, view, "clocks", note);
    if batches.is_empty() {
        frame.render_widget(Line::styled("none", view.style(Role::Faint)), inside);
        return;
    }
    let selected = batches.iter().position(|(b, _)| Some(b.id) == view.ui.selected(view.bench)).unwrap_or(0);
    let forms = forms(inside, &batches, selected);
    let shown = in_sight(&forms, selected, inside.height);
    let mut y = inside.y;
    for i in shown.clone() {
        let (batch, forecast) = batches[i];
        let place = Rect { y, height: forms[i].height().min(inside.bottom() - y), ..inside };
        row::draw(frame, place, view, forms[i], &row::Row { batch, forecast, chosen: i == selected });
        y += place.height;
    }
    let hidden = batches.len() - shown.len();
    if hidden > 0 {
        let more = format!(" {hidden} more ↑↓");
        let width = u16::try_from(more.chars().count()).unwrap_or(0).min(inside.width);
        let place = Rect { x: inside.right() - width, y: area.y, width, height: 1 };
        frame.render_widget(Line::styled(more, view.style(Role::Warn)), place);
    }
}

/// How much of each batch is shown. Covered layers ask for nothing and get a line; the others are shown alike where
/// they fit, else the chosen one in full and the rest in a line.
fn forms(area: Rect, batches: &[(&Batch, Option<&BatchForecast>)], selected: usize) -> Vec<Form> {
    let rows = usize::from(area.height);
    let covered = batches.iter().filter(|(b, _)| b.covered_by.is_some()).count();
    let fits = |form: Form| covered + (batches.len() - covered) * usize::from(form.height()) <= rows;
    let alike = Form::ALL.into_iter().find(|f| area.width >= 60 && fits(*f)).unwrap_or(Form::Line);
    let of = |(batch, _): &(&Batch, _)| if batch.covered_by.is_some() { Form::Line } else { alike };
    let mut forms: Vec<Form> = batches.iter().map(of).collect();
    if area.width >= 60 && forms[selected] == Form::Line {
        let others: usize = forms.iter().map(|f| usize::from(f.height())).sum::<usize>() - 1;
        let free = rows.saturating_sub(others.min(rows / 3));
        let chosen = Form::ALL.into_iter().find(|f| usize::from(f.height()) <= free);
        forms[selected] = chosen.unwrap_or(Form::Line);
    }
    forms
}

/// The batches that fit, the chosen one among them.
fn in_sight(forms: &[Form], selected: usize, height: u16) -> Range<usize> {
    let rows = |range: Range<usize>| forms[range].iter().map(|f| f.height()).sum::<u16>();
    let mut first = 0;
    while first < selected && rows(first..selected + 1) > height {
        first += 1;
    }
    let mut end = selected + 1;
    while end < forms.len() && rows(first..end + 1) <= height {
        end += 1;
    }
    first..end
}

//! The night's page: time across, layers down; windows as bars with soft ends, sleep shaded, the bench's temperature above, now
//! as a line.

mod scale;
mod track;
mod words;

use super::View;
use super::rule::heading;
use crate::fit::hanging;
use crate::night::{NightPlan, NoNight, Span};
use crate::tui::theme::Role;
use jiff::Timestamp;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span as Text},
    widgets::Paragraph,
};
use scale::Scale;

/// Columns of a layer's name, pour and dose; without the dose on a narrow screen.
const LABELS: u16 = 21;
const LABELS_NARROW: u16 = 9;
/// From here on the other ways are told as well.
const TALL: u16 = 28;
/// From here on there is room for the dose and for whole sentences.
const ROOMY: (u16, u16) = (60, 16);

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let Some((piece, standing)) = view.ui.piece(view.bench) else { return };
    let roomy = area.width >= ROOMY.0 && area.height >= ROOMY.1;
    let night = view.ui.night();
    let done = night.done(piece.id).map(|done| &done.night);
    let note = match done {
        Some(Ok(night)) => words::note(&night.best, view, area.width),
        Some(Err(_)) | None => String::new(),
    };
    let title =
        if roomy { format!("night · piece {} · {}", piece.id, piece.name()) } else { format!("night {}", piece.id) };
    let inside = heading(frame, area, view, &title, &note);
    let full = standing.is_none_or(|standing| standing.next_layer().is_none());
    let night_plan = match done {
        _ if full => return say(frame, inside, view, &[(NoNight::NothingLeft.to_string(), Role::Text)]),
        None => return say(frame, inside, view, &[("working out when to pour …".to_owned(), Role::Faint)]),
        Some(Err(why)) => return say(frame, inside, view, &[(why.to_string(), Role::Warn)]),
        Some(Ok(night)) => night,
    };
    let change = view.ui.night().change(piece, view.bench);
    let said = words::head(night_plan, change.as_ref(), piece, view, roomy);
    let used = say_within(frame, inside, view, &said, inside.height / 3);
    let foot = words::foot(night_plan, view, roomy, area.height >= TALL);
    let below = wrapped(&foot, inside.width).len().min(usize::from(inside.height / 4));
    let below = u16::try_from(below).unwrap_or(0);
    let chart = Rect { y: inside.y + used, height: inside.height.saturating_sub(used + below), ..inside };
    draw_chart(frame, chart, view, &night_plan.best, roomy);
    let foot_at = Rect { y: inside.bottom().saturating_sub(below), height: below, ..inside };
    say(frame, foot_at, view, &foot);
}

fn draw_chart(frame: &mut Frame<'_>, area: Rect, view: View<'_>, plan: &NightPlan, roomy: bool) {
    let labels = if roomy { LABELS } else { LABELS_NARROW };
    let Some(scale) = Scale::of(plan, view.now, area.width.saturating_sub(labels)) else { return };
    // The temperature, the hours, then the layers.
    let warmth = u16::from(area.height >= 6);
    if area.height < warmth + 2 {
        return;
    }
    let row = |y: u16| Rect { x: area.x, y: area.y + y, width: area.width, height: 1 };
    if warmth == 1 {
        frame.render_widget(joined("°C", labels, track::temperature(&scale, view), view), row(0));
    }
    let rows = usize::from(area.height - warmth - 1);
    let first = view.ui.night().scroll().min(plan.pours.len().saturating_sub(rows));
    let hidden = plan.pours.len().saturating_sub(rows);
    let hidden = if hidden > 0 { format!("↑↓ +{hidden}") } else { String::new() };
    frame.render_widget(joined(&hidden, labels, track::hours(&scale, plan, view), view), row(warmth));
    for (place, pour) in plan.pours.iter().enumerate().skip(first).take(rows) {
        let y = warmth + 1 + u16::try_from(place - first).unwrap_or(0);
        let name = words::label(pour, view, roomy);
        frame.render_widget(joined(&name, labels, track::layer(&scale, plan, pour, view), view), row(y));
    }
}

/// A label and the cells behind it.
fn joined(label: &str, labels: u16, cells: Vec<(char, Role)>, view: View<'_>) -> Line<'static> {
    let mut spans = vec![Text::styled(crate::fit::padded(label, usize::from(labels)), view.style(Role::Text))];
    let mut cells = cells.into_iter().peekable();
    while let Some((first, role)) = cells.next() {
        let mut run = String::from(first);
        while let Some((next, _)) = cells.next_if(|(_, other)| *other == role) {
            run.push(next);
        }
        spans.push(Text::styled(run, view.style(role)));
    }
    Line::from(spans)
}

fn wrapped(said: &[(String, Role)], width: u16) -> Vec<(String, Role)> {
    let lines = said.iter().flat_map(|(words, role)| {
        hanging("", words, usize::from(width)).into_iter().map(|line| (line, *role)).collect::<Vec<_>>()
    });
    lines.collect()
}

fn say(frame: &mut Frame<'_>, area: Rect, view: View<'_>, said: &[(String, Role)]) {
    say_within(frame, area, view, said, area.height);
}

/// Says as much as `rows` have room for; returns the rows used.
fn say_within(frame: &mut Frame<'_>, area: Rect, view: View<'_>, said: &[(String, Role)], rows: u16) -> u16 {
    let mut lines = wrapped(said, area.width);
    super::rule::cut(&mut lines, usize::from(rows), usize::from(area.width));
    let used = u16::try_from(lines.len()).unwrap_or(rows);
    let lines: Vec<Line<'_>> = lines.into_iter().map(|(line, role)| Line::styled(line, view.style(role))).collect();
    frame.render_widget(Paragraph::new(lines), Rect { height: used.min(area.height), ..area });
    used
}

fn is_in(spans: &[Span], from: Timestamp, until: Timestamp) -> bool {
    spans.iter().any(|span| span.meets(&Span { from, until }))
}

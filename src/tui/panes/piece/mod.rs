//! The piece's page: the vessel, the order of work with what is ticked, and what is left to pour.

mod left;
mod steps;

pub(super) use steps::name as step_name;

use super::View;
use super::rule::heading;
use super::section;
use crate::bench::{Alarm, BenchPiece, PieceId, Refusal, Standing};
use crate::fit::clipped;
use crate::tui::{picture, theme::Role};
use ratatui::{
    Frame,
    layout::{Constraint, Layout, Rect},
    text::Line,
    widgets::{Paragraph, Wrap},
};

/// From these many columns and rows on there is room for headings and units.
const ROOMY: (u16, u16) = (60, 14);

/// Columns of the vessel and of the gap beside it.
fn columns(width: u16) -> (u16, u16) {
    match width {
        76.. => (24, 2),
        60.. => (16, 2),
        _ => (11, 1),
    }
}

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let Some((on_bench, standing)) = view.ui.piece(view.bench) else { return };
    let roomy = area.width >= ROOMY.0 && area.height >= ROOMY.1;
    let alarm = view.bench.next_alarm().filter(|alarm| roomy || alarm.is_sounding());
    let [first, rest] =
        Layout::vertical([Constraint::Length(u16::from(alarm.is_some())), Constraint::Fill(1)]).areas(area);
    if let Some(alarm) = alarm {
        draw_alarm(frame, first, view, alarm);
    }
    let inside = heading(frame, rest, view, &title(on_bench), &place_among(view, on_bench.id, roomy));
    let (of_vessel, gap) = columns(inside.width);
    let [vessel, _, right] =
        Layout::horizontal([Constraint::Length(of_vessel), Constraint::Length(gap), Constraint::Fill(1)]).areas(inside);
    section::picture(frame, vessel, view, on_bench, standing);
    let Some(standing) = standing else {
        let words = Line::styled(Refusal::NoPlan(on_bench.id).to_string(), view.style(Role::Warn));
        frame.render_widget(Paragraph::new(words).wrap(Wrap { trim: true }), right);
        return;
    };
    draw_work(frame, right, view, standing, roomy);
}

fn title(on_bench: &BenchPiece) -> String {
    let name = on_bench.name();
    if name.is_empty() { format!("piece {}", on_bench.id) } else { format!("piece {} · {name}", on_bench.id) }
}

/// Which of several it is.
fn place_among(view: View<'_>, id: PieceId, roomy: bool) -> String {
    let pieces: Vec<PieceId> = view.bench.pieces().map(|(piece, _)| piece.id).collect();
    let place = pieces.iter().position(|other| *other == id).unwrap_or(0) + 1;
    match pieces.len() {
        0 | 1 => String::new(),
        count if roomy => format!("{place} of {count}: ← → another"),
        count => format!("{place}/{count} ← →"),
    }
}

/// The alarm of the big digits, which the page covers, in one line.
fn draw_alarm(frame: &mut Frame<'_>, area: Rect, view: View<'_>, alarm: &Alarm) {
    let title = view.bench.title_of(alarm.id);
    let (sign, role) = if alarm.is_sounding() { ("▲ ", Role::Alarm) } else { ("", Role::Text) };
    let words = format!("{sign}{} {} · {title}", picture::countdown(alarm, view.now), alarm.words());
    frame.render_widget(Line::styled(clipped(&words, usize::from(area.width)), view.style(role)), area);
}

/// Right of the vessel: the steps, what the chosen one says, the layers that are left.
fn draw_work(frame: &mut Frame<'_>, area: Rect, view: View<'_>, standing: &Standing, roomy: bool) {
    let says = steps::says(view, standing, usize::from(area.width));
    let wanted = |count: usize| u16::try_from(count).unwrap_or(u16::MAX);
    let headings = u16::from(roomy);
    let left = if roomy { (wanted(left::count(standing)) + headings).min(area.height / 4) } else { 1 };
    let free = area.height.saturating_sub(left + headings);
    let told = wanted(says.len()).min((free / 2).max(free.saturating_sub(SHORTEST_LIST).min(4)));
    let [list, told, left] =
        Layout::vertical([Constraint::Fill(1), Constraint::Length(told), Constraint::Length(left)]).areas(area);
    let list = if roomy { heading(frame, list, view, "order of work", &steps::done(standing)) } else { list };
    steps::draw_list(frame, list, view, standing);
    steps::draw_says(frame, told, view, says);
    let hidden = left::count(standing).saturating_sub(usize::from(left.height.saturating_sub(headings)));
    let more = if hidden > 0 { format!("{hidden} more") } else { String::new() };
    let left = if roomy { heading(frame, left, view, "left to pour", &more) } else { left };
    left::draw(frame, left, view, standing, roomy);
}

/// Steps that stay in sight whatever the chosen one says.
const SHORTEST_LIST: u16 = 3;

//! Questions before something is lost: quitting stops the alarms while clocks run; undo takes back what it names.

use super::{View, popup};
use crate::bench::{Batch, BatchId, EntryId, PieceId, clock_words, entry_words};
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
    widgets::{Paragraph, Wrap},
};

pub(super) fn draw_undo(frame: &mut Frame<'_>, area: Rect, view: View<'_>, entry: EntryId) {
    let inside = popup(frame, area, view, "undo?", (64, 7));
    let log = view.bench.log();
    let found = log.tail().find(|(stored, _)| stored.id == entry);
    let words = found.map(|(stored, _)| {
        let clock = clock_words(stored.happened, view.bench.zone());
        format!("{clock} {}", entry_words(&stored.entry, log, view.bench.zone()))
    });
    let lines = vec![
        Line::styled(words.unwrap_or_default(), view.style(Role::Title)),
        Line::raw("Nothing is erased: the undo is an entry too."),
        answers(view, "u", "undo", "leave it"),
    ];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), inside);
}

pub(super) fn draw_finish(frame: &mut Frame<'_>, area: Rect, view: View<'_>, batch: BatchId) {
    let inside = popup(frame, area, view, "finish?", (56, 7));
    let title = view.bench.log().batch(batch).map_or("", Batch::title);
    let lines = vec![
        Line::styled(format!("{batch} {title}"), view.style(Role::Title)),
        Line::raw("Its clock and alarms go; undo brings them back."),
        answers(view, "f", "finish", "go on"),
    ];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), inside);
}

pub(super) fn draw_finish_piece(frame: &mut Frame<'_>, area: Rect, view: View<'_>, piece: PieceId) {
    let inside = popup(frame, area, view, "finish?", (56, 8));
    let found = view.bench.pieces().find(|(other, _)| other.id == piece);
    let name = found.map(|(on_bench, _)| on_bench.name()).unwrap_or_default();
    let left = found.and_then(|(_, standing)| standing).map_or(0, |standing| standing.plan.layers.len());
    let mut lines = vec![
        Line::styled(format!("piece {piece} {name}"), view.style(Role::Title)),
        Line::raw("It leaves the bench; its clocks go on. Undo brings it back."),
        answers(view, "f", "finish", "go on"),
    ];
    let unpoured = if left == 1 { "1 layer is".to_owned() } else { format!("{left} layers are") };
    let warning = Line::styled(format!("{unpoured} not poured yet."), view.style(Role::Warn));
    if left > 0 {
        lines.insert(1, warning);
    }
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), inside);
}

fn answers(view: View<'_>, yes: &'static str, does: &str, no: &str) -> Line<'static> {
    Line::from(vec![
        Span::styled(yes, view.style(Role::Focus)),
        Span::raw(format!(" {does}   ")),
        Span::styled("Esc", view.style(Role::Focus)),
        Span::raw(format!(" {no}")),
    ])
}

pub(super) fn draw_quit(frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
    let inside = popup(frame, area, view, "quit?", (56, 7));
    let running = view.bench.log().running().count();
    let clocks = if running == 1 { "1 clock runs".to_owned() } else { format!("{running} clocks run") };
    let lines = vec![
        Line::styled(format!("{clocks}. Quitting stops the alarms."), view.style(Role::Warn)),
        Line::raw("The notebook keeps everything; the clocks go on when you return."),
        answers(view, "q", "quit", "stay"),
    ];
    frame.render_widget(Paragraph::new(lines).wrap(Wrap { trim: true }), inside);
}

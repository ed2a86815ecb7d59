//! Questions before something is lost: quitting stops the alarms while clocks run; undo takes back what it names.

use super::{View, popup, rule::cut};
use crate::bench::{Batch, BatchId, EntryId, PieceId, clock_words, entry_words};
use crate::fit::hanging;
use crate::tui::theme::Role;
use ratatui::{
    Frame,
    layout::Rect,
    text::{Line, Span},
};

/// Rows of a question with room to spare.
const ROWS: u16 = 7;
/// The edges of its frame, and the line of its answers.
const AROUND: u16 = 3;

/// What is asked, and what the keys answer.
struct Question<'a> {
    title: &'a str,
    width: u16,
    says: Vec<(String, Role)>,
    answers: Line<'static>,
}

impl Question<'_> {
    /// Draws it as high as it needs; where that is more than there is, its words give way and never its answers.
    fn draw(self, frame: &mut Frame<'_>, area: Rect, view: View<'_>) {
        let width = usize::from(self.width.min(area.width).saturating_sub(4));
        let wrap = |(text, role): (String, Role)| hanging("", &text, width).into_iter().map(move |line| (line, role));
        let mut lines: Vec<(String, Role)> = self.says.into_iter().flat_map(wrap).collect();
        let wanted = u16::try_from(lines.len()).unwrap_or(u16::MAX).saturating_add(AROUND);
        let inside = popup(frame, area, view, self.title, (self.width, wanted.max(ROWS)));
        let room = usize::from(inside.height.saturating_sub(1));
        cut(&mut lines, room, width);
        let lines = lines.into_iter().map(|(text, role)| Line::styled(text, view.style(role)));
        for (line, y) in lines.chain([self.answers]).zip(inside.y..inside.bottom()) {
            frame.render_widget(line, Rect { y, height: 1, ..inside });
        }
    }
}

pub(super) fn draw_undo(frame: &mut Frame<'_>, area: Rect, view: View<'_>, entry: EntryId) {
    let log = view.bench.log();
    let found = log.tail().find(|(stored, _)| stored.id == entry);
    let words = found.map(|(stored, _)| {
        let clock = clock_words(stored.happened, view.bench.zone());
        format!("{clock} {}", entry_words(&stored.entry, log, view.bench.zone()))
    });
    let says = vec![
        (words.unwrap_or_default(), Role::Title),
        ("Nothing is erased: the undo is an entry too.".to_owned(), Role::Text),
    ];
    Question { title: "undo?", width: 64, says, answers: answers(view, "u", "undo", "leave it") }
        .draw(frame, area, view);
}

pub(super) fn draw_finish(frame: &mut Frame<'_>, area: Rect, view: View<'_>, batch: BatchId) {
    let title = view.bench.log().batch(batch).map_or("", Batch::title);
    let says = vec![
        (format!("{batch} {title}"), Role::Title),
        ("Its clock and alarms go; undo brings them back.".to_owned(), Role::Text),
    ];
    Question { title: "finish?", width: 56, says, answers: answers(view, "f", "finish", "go on") }
        .draw(frame, area, view);
}

pub(super) fn draw_finish_piece(frame: &mut Frame<'_>, area: Rect, view: View<'_>, piece: PieceId) {
    let found = view.bench.pieces().find(|(other, _)| other.id == piece);
    let name = found.map(|(on_bench, _)| on_bench.name()).unwrap_or_default();
    let left = found.and_then(|(_, standing)| standing).map_or(0, |standing| standing.plan.layers.len());
    let unpoured = if left == 1 { "1 layer is".to_owned() } else { format!("{left} layers are") };
    let warning = (left > 0).then(|| (format!("{unpoured} not poured yet."), Role::Warn));
    let says = [(format!("piece {piece} {name}"), Role::Title)]
        .into_iter()
        .chain(warning)
        .chain([("It leaves the bench; its clocks go on. Undo brings it back.".to_owned(), Role::Text)])
        .collect();
    Question { title: "finish?", width: 56, says, answers: answers(view, "f", "finish", "go on") }
        .draw(frame, area, view);
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
    let running = view.bench.log().running().count();
    let clocks = if running == 1 { "1 clock runs".to_owned() } else { format!("{running} clocks run") };
    let says = vec![
        (format!("{clocks}. Quitting stops the alarms."), Role::Warn),
        ("The notebook keeps everything; the clocks go on when you return.".to_owned(), Role::Text),
    ];
    Question { title: "quit?", width: 56, says, answers: answers(view, "q", "quit", "stay") }.draw(frame, area, view);
}

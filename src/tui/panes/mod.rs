//! The panes. Each is a function from what is known to cells; none changes anything.

mod bedside;
mod clocks;
mod footer;
mod header;
mod help;
mod next;
mod night;
mod notebook;
mod piece;
mod question;
mod rule;
mod section;
mod temperature;
mod tiny;

use super::forms;
use super::layout::{Places, Shape};
use super::theme::{Palette, Role};
use super::ui::{Overlay, Ui};
use crate::bench::Bench;
use jiff::Timestamp;
use ratatui::{Frame, layout::Rect, style::Style};

pub(super) use rule::popup;

/// What every pane is drawn from.
#[derive(Clone, Copy)]
pub(super) struct View<'a> {
    pub bench: &'a Bench,
    pub ui: &'a Ui,
    pub now: Timestamp,
    pub palette: Palette,
}

impl View<'_> {
    pub fn style(&self, role: Role) -> Style {
        self.palette.style(role)
    }
}

/// Draws the whole screen.
pub(super) fn draw(frame: &mut Frame<'_>, view: View<'_>) {
    let area = frame.area();
    let shape = Shape::of(area);
    if shape == Shape::TooSmall {
        tiny::draw(frame, area, view);
        return;
    }
    if view.ui.is_bedside() {
        bedside::draw(frame, area, view);
        return;
    }
    let places = shape.places(area, view.ui.piece(view.bench).is_some());
    header::draw(frame, places.header, view);
    if view.ui.night_is_open(view.bench) {
        let top = places.header.bottom();
        night::draw(frame, Rect { y: top, height: places.message.y - top, ..area }, view);
    } else if view.ui.page_is_open(view.bench) {
        let top = places.header.bottom();
        piece::draw(frame, Rect { y: top, height: places.message.y - top, ..area }, view);
    } else {
        draw_panes(frame, &places, view);
    }
    footer::draw_message(frame, places.message, view);
    footer::draw_keys(frame, places.keys, view);
    match view.ui.overlay() {
        None => {}
        Some(Overlay::Help) => help::draw(frame, area, view),
        Some(Overlay::Quit) => question::draw_quit(frame, area, view),
        Some(Overlay::Undo(entry)) => question::draw_undo(frame, area, view, *entry),
        Some(Overlay::Finish(batch)) => question::draw_finish(frame, area, view, *batch),
        Some(Overlay::FinishPiece(piece)) => question::draw_finish_piece(frame, area, view, *piece),
        Some(Overlay::Form(form)) => forms::draw(frame, area, form, view),
    }
}

fn draw_panes(frame: &mut Frame<'_>, places: &Places, view: View<'_>) {
    next::draw(frame, places.next, view);
    clocks::draw(frame, places.clocks, view);
    if let Some(place) = places.temperature {
        temperature::draw(frame, place, view);
    }
    if let Some(place) = places.notebook {
        notebook::draw(frame, place, view);
    }
    if let Some(place) = places.section {
        section::draw(frame, place, view);
    }
}

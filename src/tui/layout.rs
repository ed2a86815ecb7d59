//! Where the panes go.
//!
//! ```text
//! wide (from 100×28)                       stacked (from 60×18)        narrow (from 40×12)
//! ┌ header ───────────────────────────┐    ┌ header ─────────────┐     ┌ header ─────┐
//! │ next: digits, action, weights     │    │ next                │     │ next        │
//! ├ clocks ────────────┬ temperature ─┤    ├ clocks ─────────────┤     ├ clocks ─────┤
//! │                    │              │    │                     │     │             │
//! │                    ├ notebook ────┤    ├ temperature ────────┤     ├ message ────┤
//! │                    │              │    ├ notebook ───────────┤     └ keys ───────┘
//! ├ message ───────────┴──────────────┤    ├ message ────────────┤
//! └ keys ─────────────────────────────┘    └ keys ───────────────┘
//!
//! with a piece on the bench                with a piece, from 78×18
//! ├ clocks ─────────────────┬ section ┤    ├ clocks ─────┬ section ┤
//! │                         │         │    │             │         │
//! ├ temperature ┬ notebook ─┤         │    ├ temperature ┤         │
//! │             │           │         │    ├ notebook ───┤         │
//! ```

use ratatui::layout::{Constraint, Layout, Rect};

/// Smallest screen with panes; below it there is one plain message.
pub const SMALLEST: (u16, u16) = (40, 12);

/// Columns between panes that stand side by side.
const GAP: u16 = 2;
/// Columns of the section.
const SECTION_WIDE: u16 = 24;
const SECTION_STRIP: u16 = 16;
/// On a stacked screen the clocks keep room for their bars, or the section stays away.
const SECTION_FROM: u16 = 60 + GAP + SECTION_STRIP;

/// Which arrangement fits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Shape {
    Wide,
    Stacked,
    Narrow,
    TooSmall,
}

/// The panes' places; `None` where a pane does not fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Places {
    pub header: Rect,
    pub next: Rect,
    pub clocks: Rect,
    pub temperature: Option<Rect>,
    pub notebook: Option<Rect>,
    /// The vessel of the piece on the bench.
    pub section: Option<Rect>,
    pub message: Rect,
    pub keys: Rect,
}

impl Shape {
    pub fn of(area: Rect) -> Self {
        match (area.width, area.height) {
            (w, h) if w < SMALLEST.0 || h < SMALLEST.1 => Shape::TooSmall,
            (w, h) if w >= 100 && h >= 28 => Shape::Wide,
            (w, h) if w >= 60 && h >= 18 => Shape::Stacked,
            _ => Shape::Narrow,
        }
    }

    /// Places the panes in `area`, which is of this shape, with or without a piece on the bench.
    pub fn places(self, area: Rect, piece: bool) -> Places {
        let line = Constraint::Length(1);
        let next_rows = if self == Shape::Wide { 10 } else { 5 };
        let [header, next, rest, message, keys] =
            Layout::vertical([line, Constraint::Length(next_rows), Constraint::Fill(1), line, line]).areas(area);
        let section_columns = match self {
            Shape::Wide => SECTION_WIDE,
            Shape::Stacked if area.width >= SECTION_FROM => SECTION_STRIP,
            Shape::Stacked | Shape::Narrow | Shape::TooSmall => 0,
        };
        let section_columns = if piece { section_columns } else { 0 };
        let gap = if section_columns > 0 { GAP } else { 0 };
        let [rest, _, section] =
            Layout::horizontal([Constraint::Fill(1), Constraint::Length(gap), Constraint::Length(section_columns)])
                .areas(rest);
        let bare = Places {
            header,
            next,
            clocks: rest,
            temperature: None,
            notebook: None,
            section: (section_columns > 0).then_some(section),
            message,
            keys,
        };
        let and_below = |clocks, temperature, notebook| Places {
            clocks,
            temperature: Some(temperature),
            notebook: Some(notebook),
            ..bare
        };
        match self {
            // Beside the section the clocks need the width: their bars name every stage.
            Shape::Wide if piece => {
                let [clocks, below] = Layout::vertical([Constraint::Fill(8), Constraint::Fill(5)]).areas(rest);
                let [left, _, right] = beside(Constraint::Fill(1), Constraint::Fill(1)).areas(below);
                and_below(clocks, left, right)
            }
            Shape::Wide => {
                let [clocks, _, right] = beside(Constraint::Fill(8), Constraint::Fill(5)).areas(rest);
                let [top, bottom] = Layout::vertical([Constraint::Fill(1), Constraint::Fill(1)]).areas(right);
                and_below(clocks, top, bottom)
            }
            Shape::Stacked => {
                let rows = [Constraint::Fill(3), Constraint::Length(6), Constraint::Length(3)];
                let [clocks, temperature, notebook] = Layout::vertical(rows).areas(rest);
                and_below(clocks, temperature, notebook)
            }
            Shape::Narrow | Shape::TooSmall => bare,
        }
    }
}

fn beside(left: Constraint, right: Constraint) -> Layout {
    Layout::horizontal([left, Constraint::Length(GAP), right])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_size_has_a_shape_and_no_pane_leaves_the_screen() {
        for (w, h, shape) in [
            (120, 40, Shape::Wide),
            (80, 24, Shape::Stacked),
            (40, 12, Shape::Narrow),
            (200, 12, Shape::Narrow),
            (39, 40, Shape::TooSmall),
            (1, 1, Shape::TooSmall),
        ] {
            let area = Rect::new(0, 0, w, h);
            assert_eq!(Shape::of(area), shape);
            for piece in [false, true] {
                let places = shape.places(area, piece);
                let always = [places.header, places.next, places.clocks, places.message, places.keys];
                let some = [places.temperature, places.notebook, places.section];
                for pane in always.into_iter().chain(some.into_iter().flatten()) {
                    assert_eq!(area.intersection(pane), pane);
                }
                if shape != Shape::TooSmall {
                    assert!(places.clocks.height >= 3, "{w}×{h}");
                }
            }
        }
    }
    #[test]
    fn the_section_comes_with_a_piece_and_never_costs_the_bars_their_room() {
        for (width, height) in [(120, 40), (100, 28), (99, 40), (80, 24), (78, 18)] {
            let area = Rect::new(0, 0, width, height);
            let shape = Shape::of(area);
            assert_eq!(shape.places(area, false).section, None);
            let places = shape.places(area, true);
            assert!(places.section.is_some() && places.clocks.width >= 60, "{width}×{height}");
        }
        for (width, height) in [(77, 24), (60, 18), (40, 12)] {
            let area = Rect::new(0, 0, width, height);
            assert_eq!(Shape::of(area).places(area, true).section, None, "{width}×{height}");
        }
    }
}

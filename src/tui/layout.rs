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
//! ```

use ratatui::layout::{Constraint, Layout, Rect};

/// Smallest screen with panes; below it there is one plain message.
pub const SMALLEST: (u16, u16) = (40, 12);

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

    /// Places the panes in `area`, which is of this shape.
    pub fn places(self, area: Rect) -> Places {
        let rows = |next, rest: [Constraint; 3]| {
            let line = Constraint::Length(1);
            let [a, b, c] = rest;
            Layout::vertical([line, Constraint::Length(next), a, b, c, line, line]).split(area)
        };
        let none = Constraint::Length(0);
        match self {
            Shape::Wide => {
                let r = rows(10, [Constraint::Min(10), none, none]);
                let [left, _, right] =
                    Layout::horizontal([Constraint::Fill(8), Constraint::Length(2), Constraint::Fill(5)]).areas(r[2]);
                let [top, bottom] = Layout::vertical([Constraint::Fill(1), Constraint::Fill(1)]).areas(right);
                Places {
                    header: r[0],
                    next: r[1],
                    clocks: left,
                    temperature: Some(top),
                    notebook: Some(bottom),
                    message: r[5],
                    keys: r[6],
                }
            }
            Shape::Stacked => {
                let r = rows(5, [Constraint::Fill(3), Constraint::Length(6), Constraint::Length(3)]);
                Places {
                    header: r[0],
                    next: r[1],
                    clocks: r[2],
                    temperature: Some(r[3]),
                    notebook: Some(r[4]),
                    message: r[5],
                    keys: r[6],
                }
            }
            Shape::Narrow | Shape::TooSmall => {
                let r = rows(5, [Constraint::Fill(1), none, none]);
                Places {
                    header: r[0],
                    next: r[1],
                    clocks: r[2],
                    temperature: None,
                    notebook: None,
                    message: r[5],
                    keys: r[6],
                }
            }
        }
    }
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
            let places = shape.places(area);
            for pane in [places.header, places.next, places.clocks, places.message, places.keys] {
                assert_eq!(area.intersection(pane), pane);
            }
            if shape != Shape::TooSmall {
                assert!(places.clocks.height >= 3, "{w}×{h}");
            }
        }
    }
}

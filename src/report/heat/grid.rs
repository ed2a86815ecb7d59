//! Peaks over depth and dose, drawn as SVG: a figure in every cell, so that the shades are not needed.

use super::verdict::{Shade, Verdict};
use crate::heat::{Across, SweepCell, SweepGrid};
use crate::report::figures::fixed;
use crate::report::section::path::{line, units};
use crate::units::Celsius;
use maud::{Markup, html};

/// A sweep that was worked out.
#[derive(Debug, Clone, PartialEq)]
pub struct SweepChart {
    pub grid: SweepGrid,
    /// In the order of the grid's layers.
    pub cells: Vec<SweepCell>,
    pub limit: Celsius,
}

impl SweepChart {
    /// From the thinnest row to the deepest.
    pub fn rows(&self) -> impl Iterator<Item = &[SweepCell]> {
        self.cells.chunks(self.grid.steps)
    }

    pub fn shade(&self, cell: &SweepCell) -> Shade {
        Shade::of(cell.peak_c, cell.ask.start.get(), self.limit.get())
    }

    pub fn verdict(&self, cell: &SweepCell) -> Verdict {
        Verdict::of(cell.peak_c, cell.ask.start.get(), self.limit.get())
    }

    /// What stands over a column, without its unit.
    pub fn column_words(&self, cell: &SweepCell) -> String {
        match (self.grid.across, cell.ask.dose) {
            (Across::Dose(_), Some(dose)) => fixed(dose.get(), 2),
            _ => fixed(cell.ask.start.get(), 1),
        }
    }

    /// What varies from column to column, and its unit.
    pub fn across_words(&self) -> (&'static str, &'static str) {
        match self.grid.across {
            Across::Dose(_) => ("dose", "%"),
            Across::Bench(_) => ("bench", "°C"),
        }
    }
}

/// Of one cell, and of the words beside and above them.
const CELL: [f64; 2] = [46.0, 22.0];
const LEFT: f64 = 70.0;
const TOP: f64 = 38.0;
const BASE: f64 = 4.0;

/// The drawing as a figure with its caption.
pub fn grid(chart: &SweepChart, title: &str) -> Markup {
    let steps = chart.grid.steps as f64;
    let (width, height) = (LEFT + steps * CELL[0] + 2.0, TOP + steps * CELL[1] + 2.0);
    let (across, unit) = chart.across_words();
    let first = chart.rows().next().unwrap_or_default();
    html! {
        figure {
            svg class="heat-grid" viewBox=(format!("0 0 {} {}", units(width), units(height))) role="img" {
                title { (title) }
                desc { (description(chart)) }
                text class="tick below" x=(units(LEFT + steps * CELL[0] / 2.0)) y="14" { (across) ", " (unit) }
                text class="tick left" x=(units(LEFT - 6.0)) y="14" { "depth, mm" }
                @for (column, cell) in first.iter().enumerate() {
                    text class="tick below" x=(units(middle(column))) y=(units(TOP - 6.0)) { (chart.column_words(cell)) }
                }
                @for (row, cells) in chart.rows().enumerate() {
                    @let y = TOP + row as f64 * CELL[1];
                    @if let Some(cell) = cells.first() {
                        text class="tick left" x=(units(LEFT - 6.0)) y=(units(y + CELL[1] / 2.0 + BASE)) {
                            (fixed(cell.ask.depth.get(), 1))
                        }
                    }
                    @for (column, cell) in cells.iter().enumerate() { (drawn(chart, cell, column, y)) }
                }
            }
            figcaption {
                "Peak in °C of one wide layer by itself, by its depth and " (across)
                ". Crossed out: over " (fixed(chart.limit.get(), 0)) " °C, the lowest limit there is; underlined: close to it. "
                "A layer on warm ones gets hotter."
            }
        }
    }
}

fn middle(column: usize) -> f64 {
    LEFT + (column as f64 + 0.5) * CELL[0]
}

fn drawn(chart: &SweepChart, cell: &SweepCell, column: usize, y: f64) -> Markup {
    let (x, middle_y) = (LEFT + column as f64 * CELL[0], y + CELL[1] / 2.0);
    let shade = format!("cell s{}", chart.shade(cell).place());
    html! {
        rect class=(shade) x=(units(x)) y=(units(y)) width=(CELL[0]) height=(CELL[1]) {}
        text class="peak" x=(units(middle(column))) y=(units(middle_y + BASE)) { (fixed(cell.peak_c, 0)) }
        @match chart.verdict(cell) {
            Verdict::Over => path class="mark" d=(line([(x + 4.0, y + CELL[1] - 3.0), (x + CELL[0] - 4.0, y + 3.0)])) {},
            Verdict::Close => {
                path class="mark" d=(line([(x + 12.0, y + CELL[1] - 3.5), (x + CELL[0] - 12.0, y + CELL[1] - 3.5)])) {}
            },
            Verdict::Within => {}
        }
    }
}

/// For who does not see it: how deep a layer may be at the least and at the most of what varies.
fn description(chart: &SweepChart) -> String {
    let (across, unit) = chart.across_words();
    let column = |place: usize| -> Vec<&SweepCell> { chart.rows().filter_map(|row| row.get(place)).collect() };
    let words = |cells: Vec<&SweepCell>| -> Option<String> {
        let at = chart.column_words(cells.first()?);
        let deepest = cells.iter().rev().find(|cell| chart.verdict(cell) == Verdict::Within);
        Some(match deepest {
            Some(cell) => format!(
                "At {at} {unit} of {across} layers up to {} mm are within the limit.",
                fixed(cell.ask.depth.get(), 1)
            ),
            None => format!("At {at} {unit} of {across} no layer looked at is within the limit."),
        })
    };
    let ends = [0, chart.grid.steps.saturating_sub(1)].map(|place| words(column(place)).unwrap_or_default());
    ends.join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::heat::{LayerAsk, Span};
    use crate::units::{DosePercent, Millimetres};

    /// An invented layer that gets 3 °C hotter for each mm and per cent.
    fn chart() -> SweepChart {
        let mm = |value| Millimetres::new(value).unwrap();
        let percent = |value| DosePercent::new(value).unwrap();
        let grid = SweepGrid {
            depths: Span { least: mm(3.0), most: mm(30.0) },
            across: Across::Dose(Span { least: percent(0.5), most: percent(2.0) }),
            ask: LayerAsk { depth: mm(10.0), dose: None, start: Celsius::ROOM },
            steps: 4,
        };
        let cell = |ask: LayerAsk| {
            let peak_c = 20.0 + 3.0 * ask.depth.get() * ask.dose.unwrap().get();
            SweepCell { ask, peak_c, peak_h: 1.0, gel_h: Some(0.5), resolved: true }
        };
        SweepChart { cells: grid.asks().into_iter().map(cell).collect(), grid, limit: Celsius::new(80.0).unwrap() }
    }

    #[test]
    fn every_cell_has_its_figure_and_the_hot_ones_a_mark() {
        let svg = grid(&chart(), "Depth and dose").into_string();
        assert_eq!(svg.matches("class=\"cell").count(), 16);
        assert_eq!(svg.matches("class=\"peak\"").count(), 16);
        let over = chart().cells.iter().filter(|cell| chart().verdict(cell) != Verdict::Within).count();
        assert!(over > 3 && svg.matches("class=\"mark\"").count() == over, "{svg}");
    }

    #[test]
    fn its_words_say_how_deep_one_may_pour() {
        let svg = grid(&chart(), "Depth and dose").into_string();
        assert!(svg.contains("At 0.50 % of dose layers up to 30.0 mm are within the limit."), "{svg}");
        assert!(svg.contains("At 2.00 % of dose layers up to 3.0 mm are within the limit."), "{svg}");
    }
}

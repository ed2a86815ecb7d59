//! How hot it gets: the table of the layers, their curves, and peaks over depth and dose.

use super::{facts, heading};
use crate::report::heat::{HowHot, curves, grid};
use crate::report::{Report, Table, heat_items, heat_notes, hottest_words, peak_table, stage_table};
use maud::{Markup, html};

/// The section, or why there is nothing to show.
pub(super) fn heat(report: &Report<'_>, how_hot: &Result<HowHot, String>) -> Markup {
    let name = report.piece.name.as_str();
    html! {
        section class="heat" {
            h2 { "How hot it gets" }
            @match how_hot {
                Err(why) => p { "No figures: " (why) "." },
                Ok(HowHot { piece, doses }) => {
                    p { strong { (hottest_words(piece)) } }
                    (table(&peak_table(piece), "Every layer poured when the one below is ready: its peak, and its limit."))
                    (table(&stage_table(piece), "When each layer is ready for what: with the heat of its cure, and plain."))
                    (facts(&heat_items(piece)))
                    (curves(piece, &format!("How hot the layers of {name} get")))
                    @if let Some(chart) = doses { (grid(chart, "Peaks over depth and dose")) }
                    ul class="notes" { @for note in heat_notes(piece) { li { (note) } } }
                }
            }
        }
    }
}

fn table(table: &Table, caption: &str) -> Markup {
    let rows = table.columns.first().map_or(0, |column| column.cells.len());
    html! {
        table class="peaks" {
            caption { (caption) }
            thead {
                tr {
                    @for column in &table.columns { (heading(&words(column.group, column.head), column.unit)) }
                }
            }
            tbody {
                @for row in 0..rows {
                    tr {
                        @for (place, column) in table.columns.iter().enumerate() {
                            @let cell = column.cells.get(row).map(String::as_str).unwrap_or_default();
                            @if place == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                        }
                    }
                }
            }
        }
    }
}

/// One heading of both: there is one row of them.
fn words(group: &str, head: &str) -> String {
    format!("{group} {head}").trim().to_owned()
}

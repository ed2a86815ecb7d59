//! The table of the layers with room to write beside the figures.

use super::tick_box;
use crate::material::Mixing;
use crate::report::beds::bedded;
use crate::report::{Column, Report, table};
use maud::{Markup, html};

/// What is planned for each layer, and empty boxes for what was really done.
pub(super) fn record(report: &Report<'_>) -> Markup {
    let table = table(report);
    let written = written(report);
    let columns = table.columns.len() + written.len() + 1;
    html! {
        section {
            h2 { "Layers" }
            table class="record" {
                caption {
                    "What is planned for each layer, and room for what was really weighed, when its parts first met, and a \
                     tick."
                }
                thead {
                    tr {
                        @for (group, span) in groups(&table.columns) {
                            @if group.is_empty() { td colspan=(span) {} }
                            @else { th scope="colgroup" colspan=(span) { (group) } }
                        }
                        th class="hand" scope="colgroup" colspan=(written.len() + 1) { "write here" }
                    }
                    tr {
                        @for column in &table.columns { (heading("", column.head, column.unit)) }
                        @for (head, unit) in &written { (heading("hand", head, unit)) }
                        (heading("hand", "done", ""))
                    }
                }
                tbody {
                    @for (row, layer) in report.plan.layers.iter().enumerate() {
                        @if !layer.bedded.is_empty() {
                            tr class="bed" {
                                td colspan=(columns) {
                                    (tick_box()) "before layer " (layer.number) ", lay in "
                                    (bedded(report, layer).join(", "))
                                }
                            }
                        }
                        tr {
                            @for (place, column) in table.columns.iter().enumerate() {
                                @let cell = column.cells.get(row).map(String::as_str).unwrap_or_default();
                                @if place == 0 { th scope="row" { (cell) } } @else { td { (cell) } }
                            }
                            @for _ in &written { td class="hand" {} }
                            td class="hand tick" { (tick_box()) }
                        }
                    }
                }
            }
        }
    }
}

fn heading(class: &str, head: &str, unit: &str) -> Markup {
    html! {
        th class=[Some(class).filter(|class| !class.is_empty())] scope="col" {
            (head) @if !unit.is_empty() { " " span class="unit" { (unit) } }
        }
    }
}

/// The columns to write in: what is put on the scale, and the moment the clocks count from.
fn written(report: &Report<'_>) -> Vec<(&'static str, &'static str)> {
    let tinted = report.piece.tint.is_some();
    let mut columns = match &report.profile.mixing {
        Mixing::Catalysed { .. } => vec![(if tinted { "master" } else { "resin" }, "g"), ("catalyst", "g")],
        Mixing::TwoPart { .. } => vec![(if tinted { "A, tinted" } else { "A" }, "g"), ("B", "g")],
        Mixing::OnePart => vec![("amount", "g")],
    };
    columns.push(("first contact", ""));
    columns
}

/// Neighbouring columns of one group, with how many they are.
fn groups(columns: &[Column]) -> Vec<(&'static str, usize)> {
    let chunks = columns.chunk_by(|a, b| a.group == b.group);
    chunks.filter_map(|chunk| Some((chunk.first()?.group, chunk.len()))).collect()
}

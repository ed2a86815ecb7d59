//! The bench sheet: one page of HTML to print, tick and write on. Nothing in it comes from outside, and no script runs.

mod heat;
mod record;
mod shades;

use super::heat::{HowHot, STYLE as HEAT_STYLE};
use super::section::{Band, Drawing, STYLE as SECTION_STYLE, section};
use super::{ESTIMATE, Report, Said, doses, head, master, notes, sources, totals, warnings};
use crate::pour::Step;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::fmt::Display;

const STYLE: &str = include_str!("sheet.css");

/// The sheet as a whole HTML document; `how_hot` is what the model says of the heat, or why it says nothing.
pub fn sheet(report: &Report<'_>, how_hot: &Result<HowHot, String>) -> String {
    let name = report.piece.name.as_str();
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { "Bench sheet: " (name) }
                style { (PreEscaped(STYLE)) (PreEscaped(SECTION_STYLE)) (PreEscaped(HEAT_STYLE)) }
            }
            body {
                header {
                    h1 { (name) }
                    p class="kind" { "Bench sheet" }
                    (facts(&head(report)))
                    (to_fill_in())
                }
                main {
                    (list("Warnings", "warnings", &warnings(report.plan)))
                    (drawing(report, name))
                    (record::record(report))
                    (list("About these figures", "notes", &figure_notes(report)))
                    div class="beside" { (batch(report)) (all_together(report)) }
                    (shades::shades(report))
                    (heat::heat(report, how_hot))
                    (steps(&report.plan.steps))
                    (list("Cautions", "cautions", &report.profile.cautions))
                    section { h2 { "Where the figures come from" } (facts(&sources(report))) }
                }
                footer { p { (ESTIMATE) } }
            }
        }
    };
    page.into_string()
}

/// What only the bench knows, to be written in by hand.
fn to_fill_in() -> Markup {
    let blanks = ["Date", "Bench °C", "Humidity %", "Resin lot", "By"];
    html! {
        p class="blanks" { @for blank in blanks { span class="blank" { (blank) } " " } }
    }
}

fn drawing(report: &Report<'_>, name: &str) -> Markup {
    let layers = report.plan.layers.iter();
    let bands: Vec<Band> = layers
        .map(|layer| Band { number: layer.number, from_mm: layer.cast.from_mm, to_mm: layer.cast.to_mm })
        .collect();
    let (vessel, items) = (&report.piece.vessel, report.piece.items.as_slice());
    let title = format!("{name} in section");
    let drawing = Drawing { title: &title, vessel, items, fill_mm: report.piece.fill.get(), bands: &bands };
    html! { section { h2 { "The piece in section" } (section(&drawing)) } }
}

/// What has to be known to read the table, and why the doses are what they are.
fn figure_notes(report: &Report<'_>) -> Vec<String> {
    let doses = doses(report).into_iter().map(|Said { about, words }| format!("Dose of {about}: {words}."));
    notes(report).into_iter().chain(doses).collect()
}

fn batch(report: &Report<'_>) -> Markup {
    let batch = master(report);
    html! {
        section {
            h2 { "Master batch" }
            @for words in &batch.words { p { (words) } }
            @if !batch.cups.is_empty() {
                ul class="boxes" { @for cups in &batch.cups { li { (tick_box()) (cups.about) ": " (cups.words) } } }
            }
        }
    }
}

fn all_together(report: &Report<'_>) -> Markup {
    html! { section { h2 { "All together" } (facts(&totals(report))) } }
}

fn steps(steps: &[Step]) -> Markup {
    html! {
        section {
            h2 { "Order of work" }
            ol class="steps" {
                @for step in steps {
                    li {
                        (tick_box()) span { (step.what) }
                        @if let Some(caution) = &step.caution { p class="caution" { strong { "Caution: " } (caution) } }
                    }
                }
            }
        }
    }
}

/// A titled list; nothing at all where there is nothing to say.
fn list(title: &str, class: &str, lines: &[impl Display]) -> Markup {
    html! {
        @if !lines.is_empty() {
            section class=(class) {
                h2 { (title) }
                ul { @for line in lines { li { (line) } } }
            }
        }
    }
}

fn facts(facts: &[Said]) -> Markup {
    html! {
        dl { @for Said { about, words } in facts { dt { (about) } dd { (words) } } }
    }
}

/// The head of a column, its unit below it.
fn heading(head: &str, unit: &str) -> Markup {
    html! {
        th scope="col" { (head) @if !unit.is_empty() { " " span class="unit" { (unit) } } }
    }
}

/// A box to tick with a pen.
fn tick_box() -> Markup {
    html! { span class="box" aria-hidden="true" {} }
}

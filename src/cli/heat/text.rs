//! The heat of layers as text.

use super::asked::{Asked, Heated, of_what};
use super::chart::Chart;
use crate::cli::look::Look;
use crate::cli::page::Page;
use crate::cli::table;
use crate::pour::PieceHeat;
use crate::report::{ESTIMATE, Said, heat_items, heat_notes, hottest_words, peak_table, stage_table};

/// Everything there is to say, in lines of at most 80 columns.
pub(super) fn text(heated: &Heated<'_>, look: Look) -> String {
    let Heated { asked, heat } = heated;
    let mut page = Page::default();
    page.words("", &title(asked));
    page.said(&head(asked));
    for remark in asked.remarks() {
        page.words("  ! ", &remark);
    }
    page.title("how hot it gets");
    for line in table::lines(&peak_table(heat)) {
        page.line(&line);
    }
    page.line("");
    page.words("  ", &hottest_words(heat));
    page.title("when it gels, when the next layer may follow");
    for line in table::lines(&stage_table(heat)) {
        page.line(&line);
    }
    let items = heat_items(heat);
    if !items.is_empty() {
        page.title("what is embedded");
        page.said(&items);
    }
    curve(heat, look, &mut page);
    page.title("about these figures");
    for note in heat_notes(heat) {
        page.words("  - ", &note);
    }
    page.line("");
    page.words("", ESTIMATE);
    page.finished()
}

/// What it is, in a line.
pub(super) fn title(asked: &Asked) -> String {
    match &asked.cast {
        Some(cast) => cast.piece.name.to_string(),
        None => format!("{}, {:.1} deep", asked.profile.name, asked.layer.depth),
    }
}

/// The material and the bench; of a single layer also what it stands on.
pub(super) fn head(asked: &Asked) -> Vec<Said> {
    let profile = &asked.profile;
    let said = |about: &str, words: String| Said { about: about.to_owned(), words };
    let mut head = vec![
        said("material", format!("{} ({})", profile.name, profile.id)),
        said("bench", format!("{:.1}, and the resin as warm", asked.layer.start)),
    ];
    if asked.cast.is_none() {
        head.push(said("layer", of_what(asked).to_string()));
    }
    head
}

/// The temperature of the hottest layer over time.
fn curve(heat: &PieceHeat, look: Look, page: &mut Page) {
    let Some(layer) = heat.hottest() else { return };
    let from_pour = layer.course().iter().map(|point| (point.at_h - layer.heat.poured_h, point.hottest_c));
    let (points, limit_c) = (from_pour.collect::<Vec<_>>(), heat.limit.get());
    let lines = Chart { points: &points, limit_c }.lines(look.drawing);
    if lines.is_empty() {
        return;
    }
    page.title(&format!("layer {} over time", layer.number));
    page.words(
        "  ",
        &format!("Its hottest place, hours from its pour; dashed, the limit of {limit_c:.0} °C if it is near."),
    );
    for line in lines {
        page.line(&line);
    }
}

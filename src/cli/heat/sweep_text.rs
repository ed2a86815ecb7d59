//! A sweep as text: a table of peaks with a letter where they are too hot, and a chart of shades.

use super::asked::{Asked, of_what};
use super::text::head;
use crate::cli::look::Look;
use crate::cli::page::{Page, WIDTH};
use crate::cli::problems::Drawing;
use crate::heat::SweepCell;
use crate::report::{ESTIMATE, HeatShade, Said, SweepChart, Verdict};

/// Columns of a depth on the left, and of one peak with its letter.
const DEPTH: usize = 6;
const PEAK: usize = 6;
/// Columns of a shade.
const SHADE: usize = 3;

/// The characters of the shades, from the coolest on.
const BLOCKS: [char; 5] = ['·', '░', '▒', '▓', '█'];
const SIGNS: [char; 5] = ['.', '-', '+', 'c', 'H'];

pub(super) fn text(asked: &Asked, chart: &SweepChart, look: Look) -> String {
    let (across, unit) = chart.across_words();
    let mut page = Page::default();
    page.words("", &format!("{}: peaks over depth and {across}", asked.profile.name));
    let mut lines = head(asked);
    lines.retain(|said| said.about != "bench" || across != "bench");
    lines.retain(|said| said.about != "layer");
    lines.push(Said {
        about: "each".to_owned(),
        words: "one wide layer by itself, on a thin base on the bench".to_owned(),
    });
    lines.push(Said { about: "round".to_owned(), words: round(asked) });
    lines.push(Said { about: "limit".to_owned(), words: asked.limit_words() });
    page.said(&lines);
    page.title(&format!("peaks in °C; across: {across} in {unit}, down: depth in mm"));
    table(chart, look, &mut page);
    page.words("  ", "H: over the limit. c: close to it, within what a prediction is off. ?: not resolved.");
    page.title("as a picture");
    picture(chart, look, &mut page);
    page.line("");
    page.words("  ", "A layer on warm ones gets hotter than here: nightpour heat PIECE.toml has those.");
    let rough = chart.cells.iter().filter(|cell| !cell.resolved).count();
    if rough > 0 {
        page.words("  ! ", &format!("{rough} of {} are not resolved; do not rely on these.", chart.cells.len()));
    }
    page.line("");
    page.words("", ESTIMATE);
    page.finished()
}

fn round(asked: &Asked) -> String {
    let dose = asked.layer.dose.map(|dose| format!(", {dose} of catalyst")).unwrap_or_default();
    let piece = asked.cast.as_ref().map(|_| format!("{}: ", of_what(asked))).unwrap_or_default();
    format!("{piece}{:.1}{dose}", asked.layer.depth)
}

/// As many columns beside each other as the page has room for, the rest below.
fn table(chart: &SweepChart, look: Look, page: &mut Page) {
    let steps = chart.grid.steps;
    let blocks = steps.div_ceil((WIDTH - DEPTH) / PEAK);
    let each = steps.div_ceil(blocks);
    for first in (0..steps).step_by(each) {
        let within = |row: &[SweepCell]| row.iter().skip(first).take(each).copied().collect::<Vec<_>>();
        if first > 0 {
            page.line("");
        }
        let heads = chart.rows().next().map(within).unwrap_or_default();
        let head = |cell: &SweepCell| format!("{:>width$}", chart.column_words(cell), width = PEAK - 1);
        let heads: Vec<String> = heads.iter().map(head).collect();
        page.line(&format!("{:DEPTH$}{}", "", heads.join(" ")));
        for row in chart.rows() {
            let cells: String = within(row).iter().map(|cell| peak(chart, cell, look)).collect();
            page.line(&format!("{}{cells}", depth(row)));
        }
    }
}

fn depth(row: &[SweepCell]) -> String {
    row.first().map_or_else(String::new, |cell| format!("{:>width$.1} ", cell.ask.depth.get(), width = DEPTH - 1))
}

/// Figure and letter; the letter says what the colour says.
fn peak(chart: &SweepChart, cell: &SweepCell, look: Look) -> String {
    let figure = format!("{:>width$.0}", cell.peak_c, width = PEAK - 1);
    match (chart.verdict(cell), cell.resolved) {
        (Verdict::Over, _) => look.alarming(&format!("{figure}H")),
        (_, false) => format!("{figure}?"),
        (Verdict::Close, true) => look.warning(&format!("{figure}c")),
        (Verdict::Within, true) => format!("{figure} "),
    }
}

fn picture(chart: &SweepChart, look: Look, page: &mut Page) {
    let signs = match look.drawing {
        Drawing::Unicode => BLOCKS,
        Drawing::Ascii => SIGNS,
    };
    // Of wide grids each shade has one column.
    let width = if DEPTH + SHADE * chart.grid.steps <= WIDTH { SHADE } else { 1 };
    let shaded = |cell: &SweepCell| {
        let shade = chart.shade(cell);
        let sign = signs[shade.place()].to_string().repeat(width);
        if shade == HeatShade::Over { look.alarming(&sign) } else { sign }
    };
    for row in chart.rows() {
        page.line(&format!("{}{}", depth(row), row.iter().map(shaded).collect::<String>()));
    }
    let (across, unit) = chart.across_words();
    if let [first, .., last] = chart.rows().next().unwrap_or_default() {
        let ends = [first, last].map(|cell| chart.column_words(cell));
        page.line(&format!("{:DEPTH$}{across} {} to {} {unit}, from left to right", "", ends[0], ends[1]));
    }
    let legend: Vec<String> =
        HeatShade::ALL.iter().map(|shade| format!("{} {}", signs[shade.place()], shade.words())).collect();
    page.words("      ", &legend.join(", "));
}

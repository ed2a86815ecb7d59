//! A plan as text.

use crate::cli::page::Page;
use crate::cli::table;
use crate::fit::padded;
use crate::report;
use crate::report::{ESTIMATE, Report, Said, beds, doses, head, master, notes, opacity, sources, totals, warnings};
use unicode_width::UnicodeWidthStr;

/// Columns of the longest bar of light.
const BAR: u32 = 40;

/// Everything there is to say of a plan, in lines of at most 80 columns.
pub(super) fn text(report: &Report<'_>) -> String {
    let mut page = Page::default();
    page.words("", report.piece.name.as_str());
    page.said(&head(report));
    layers(report, &mut page);
    block("laid in", &beds(report), &mut page);
    block("all together", &totals(report), &mut page);
    master_batch(report, &mut page);
    picture(report, &mut page);
    warned(report, &mut page);
    steps(report, &mut page);
    page.title("cautions");
    for caution in &report.profile.cautions {
        page.words("  - ", caution.as_str());
    }
    block("where the figures come from", &sources(report), &mut page);
    page.line("");
    page.words("", ESTIMATE);
    page.finished()
}

/// The warnings, for whoever reads the rest elsewhere.
pub(super) fn warnings_alone(report: &Report<'_>) -> String {
    let mut page = Page::default();
    warned(report, &mut page);
    page.finished()
}

fn block(title: &str, said: &[Said], page: &mut Page) {
    if !said.is_empty() {
        page.title(title);
        page.said(said);
    }
}

fn layers(report: &Report<'_>, page: &mut Page) {
    page.title("layers");
    for line in table::lines(&report::table(report)) {
        page.line(&line);
    }
    for note in notes(report) {
        page.words("  ", &note);
    }
    block("why these doses", &doses(report), page);
}

fn master_batch(report: &Report<'_>, page: &mut Page) {
    let batch = master(report);
    page.title("master batch");
    for words in &batch.words {
        page.words("  ", words);
    }
    page.said(&batch.cups);
}

fn picture(report: &Report<'_>, page: &mut Page) {
    let Some((words, shades)) = opacity(report) else { return };
    page.title("how dark it gets");
    page.words("  ", &words);
    let column = shades.iter().map(|shade| shade.layers.width()).max().unwrap_or(0);
    for shade in &shades {
        page.line(&format!("  {}  {:>11}  {}", padded(&shade.layers, column), shade.words, bar(shade.light_percent)));
    }
}

/// The longer, the more light comes up; in eighths of a column.
fn bar(light_percent: f64) -> String {
    const EIGHTHS: [&str; 8] = ["", "▏", "▎", "▍", "▌", "▋", "▊", "▉"];
    let eighths = (light_percent / 100.0).clamp(0.0, 1.0) * f64::from(BAR * 8);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 320")]
    let eighths = eighths.round() as usize;
    format!("{}{}", "█".repeat(eighths / 8), EIGHTHS[eighths % 8])
}

fn warned(report: &Report<'_>, page: &mut Page) {
    let warnings = warnings(report.plan);
    if !warnings.is_empty() {
        page.title("warnings");
    }
    for warning in warnings {
        page.words("  ! ", &warning);
    }
}

fn steps(report: &Report<'_>, page: &mut Page) {
    page.title("order of work");
    for (step, number) in report.plan.steps.iter().zip(1..) {
        page.words(&format!(" {number:>2}. "), step.what.as_str());
        if let Some(caution) = &step.caution {
            page.words("     caution: ", caution.as_str());
        }
    }
}

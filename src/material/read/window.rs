//! The next-layer window: its two ends, and what to do once it has closed.

use super::stages::Timed;
use crate::material::{AfterClosing, Stage};
use crate::strict::{Field, Key, Problem, Reported, Spanned, Table};
use std::ops::Range;

pub(super) const NEXT_LAYER: Key = Key::new("next_layer", "[next_layer]");
const AFTER_CLOSING: Key = Key::new("after_closing", "\"sand\"");

const WORDS: [(&str, AfterClosing); 4] = [
    ("sand", AfterClosing::Sand),
    ("wash", AfterClosing::Wash),
    ("wait", AfterClosing::Wait),
    ("nothing", AfterClosing::Nothing),
];

/// Reads the `[next_layer]` table.
pub(super) fn read(field: Field<'_>) -> Result<Spanned<AfterClosing>, Reported> {
    field.table(|table| table.required(AFTER_CLOSING, |field| field.choice(&WORDS)))
}

/// Reports a window without its other end, and a window without a word on what comes after it, and the reverse.
/// A window that never closes has no closing stage, and `after_closing = "nothing"`.
pub(super) fn check(top: &Table<'_>, stages: &[Timed], after: Option<&Spanned<AfterClosing>>) {
    let span = |wanted| stages.iter().find(|timed| timed.time.stage == wanted).map(|timed| timed.name_span.clone());
    let tell = |span: Range<usize>, what: &str, value: &str, remedy: &str| {
        top.report(Problem::new(span, what, Some(value), remedy));
    };
    match (span(Stage::NextLayerOpens), span(Stage::NextLayerCloses), after) {
        (None, None, Some(after)) => tell(
            after.span(),
            "there is no next-layer window, so nothing comes after it",
            word(*after.get_ref()),
            "take [next_layer] out, or add the stages \"next-layer-opens\" and \"next-layer-closes\"",
        ),
        (None, Some(closes), _) => tell(
            closes,
            "the next-layer window closes but never opens",
            Stage::NextLayerCloses.key(),
            "add a [[cure.stage]] with stage = \"next-layer-opens\"",
        ),
        (Some(opens), None, after) if after.map(Spanned::get_ref) != Some(&AfterClosing::Nothing) => tell(
            opens,
            "the next-layer window opens but never closes",
            Stage::NextLayerOpens.key(),
            "add a [[cure.stage]] with stage = \"next-layer-closes\"; if it stays open for good, write \
             after_closing = \"nothing\" in [next_layer]",
        ),
        (_, Some(closes), None) => tell(
            closes,
            "nothing says what to do once the next-layer window has closed",
            Stage::NextLayerCloses.key(),
            "add [next_layer] with after_closing = \"sand\", \"wash\", \"wait\" or \"nothing\"",
        ),
        _ => {}
    }
}

fn word(after: AfterClosing) -> &'static str {
    WORDS.iter().find(|(_, meant)| *meant == after).map_or("", |(word, _)| word)
}

//! Why the dose of each layer is what it is.

use super::groups::{gathered, layers_words, without_figures};
use super::notes::numbers;
use super::{Cup, Report, Said};
use crate::pour::{CupParts, LayerPlan};
use crate::text::PlainText;

/// The reasons of the doses, a line for all layers that have the same dose for the same reasons; empty where nothing is
/// dosed. Where the reasons differ in a figure, as in the number of layers below, those of the lowest layer are given.
pub fn doses(report: &Report<'_>) -> Vec<Said> {
    let dosed = report.plan.layers.iter().filter(|layer| !reasons(layer).is_empty());
    gathered(dosed, |layer| (Cup::of(layer).dose_percent, without_figures(&words(layer))))
        .into_iter()
        .map(|(_, layers)| {
            let all_same = layers.array_windows().all(|[a, b]| reasons(a) == reasons(b));
            let alike = if all_same { "" } else { " alike" };
            let first = layers.first().map(|first| words(first));
            Said::new(format!("{}{alike}", layers_words(&numbers(&layers))), first.unwrap_or_default())
        })
        .collect()
}

fn words(layer: &LayerPlan) -> String {
    reasons(layer).iter().map(PlainText::as_str).collect::<Vec<_>>().join("; ")
}

/// Why the dose of `layer` is what it is.
pub fn reasons(layer: &LayerPlan) -> &[PlainText] {
    match &layer.parts {
        CupParts::Catalysed { chosen, .. } => &chosen.reasons,
        CupParts::TwoPart { .. } | CupParts::OnePart => &[],
    }
}

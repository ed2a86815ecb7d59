//! What is left to pour: each layer with its depth and weights, from the next one on.

use super::View;
use crate::bench::{Standing, pour_words_brief};
use crate::fit::clipped;
use crate::pour::{LayerKind, LayerPlan, StepId};
use crate::tui::theme::Role;
use ratatui::{Frame, layout::Rect, text::Line};

/// Lines that it takes to say all.
pub(super) fn count(standing: &Standing) -> usize {
    standing.plan.layers.len().max(1) + general(standing).count()
}

/// Warnings that are about the whole.
fn general(standing: &Standing) -> impl Iterator<Item = String> {
    standing.plan.warnings.iter().filter(|warning| warning.layer.is_none()).map(|warning| format!("! {}", warning.text))
}

pub(super) fn draw(frame: &mut Frame<'_>, area: Rect, view: View<'_>, standing: &Standing, roomy: bool) {
    let width = usize::from(area.width);
    let rows = usize::from(area.height);
    let layers = &standing.plan.layers;
    // The layer of the chosen step is among those in sight.
    let step = standing.plan.steps.get(view.ui.step_place(standing)).map(|step| step.id);
    let wanted = layers.iter().position(|layer| step == Some(StepId::Pour(layer.number))).unwrap_or(0);
    let first = (wanted + 1).saturating_sub(rows).min(layers.len());
    let role = |place: usize| if place == 0 { Role::Focus } else { Role::Text };
    let of_layers = layers.iter().enumerate().skip(first).map(|(place, layer)| (words(layer, roomy), role(place)));
    let full = layers.is_empty().then(|| ("nothing: it is full; f finishes with it".to_owned(), Role::Seen));
    let warnings = general(standing).map(|line| (line, Role::Warn));
    for ((text, role), y) in full.into_iter().chain(of_layers).chain(warnings).zip(area.y..area.bottom()) {
        frame.render_widget(Line::styled(clipped(&text, width), view.style(role)), Rect { y, height: 1, ..area });
    }
}

fn words(layer: &LayerPlan, roomy: bool) -> String {
    let Some(weights) = layer.weights().filter(|_| roomy) else { return pour_words_brief(layer) };
    let topping = if layer.kind == LayerKind::Topping { ", topping" } else { "" };
    let cups = if layer.cups > 1 { format!(", {} cups", layer.cups) } else { String::new() };
    format!("{:>2}  {:>5.1} mm  {weights}{cups}{topping}", layer.number, layer.cast.depth_mm())
}

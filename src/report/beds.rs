//! What is laid in before which layer.

use super::{Report, Said};
use crate::pour::{Item, LayerPlan, Piece};

/// The layers before which something is laid in, and what.
pub fn beds(report: &Report<'_>) -> Vec<Said> {
    let laid = report.plan.layers.iter().filter(|layer| !layer.bedded.is_empty());
    laid.map(|layer| Said::new(format!("before layer {}", layer.number), bedded(report, layer).join(", "))).collect()
}

/// What is laid in before `layer`, with how many of it where there are several.
pub(super) fn bedded(report: &Report<'_>, layer: &LayerPlan) -> Vec<String> {
    laid_in(report.piece, layer).map(Item::counted).collect()
}

/// The items of `piece` that are laid in before `layer`.
pub fn laid_in<'p>(piece: &'p Piece, layer: &'p LayerPlan) -> impl Iterator<Item = &'p Item> {
    layer.bedded.iter().filter_map(|&item| piece.items.get(item))
}

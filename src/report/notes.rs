//! What has to be known to read the table of the layers.

use super::figures::short;
use super::groups::{gathered, layers_words};
use super::{Cup, Report};
use crate::pour::{LayerKind, LayerPlan};

/// A sentence or two each.
pub fn notes(report: &Report<'_>) -> Vec<String> {
    [topping(report), cups(report), drops(report), by_volume(report), digit(report)].into_iter().flatten().collect()
}

fn topping(report: &Report<'_>) -> Option<String> {
    let topping = report.plan.layers.iter().find(|layer| layer.kind == LayerKind::Topping)?;
    Some(format!("Layer {} is the topping: it makes good what the cure shrinks, and is poured last.", topping.number))
}

fn cups(report: &Report<'_>) -> Option<String> {
    let many = report.plan.layers.iter().filter(|layer| layer.cups > 1);
    let words: Vec<String> = gathered(many, |layer| layer.cups)
        .into_iter()
        .map(|(cups, layers)| format!("{}: {cups} cups", layers_words(&numbers(&layers))))
        .collect();
    let shared = "the figures are those of all cups of a layer together, to be shared equally";
    (!words.is_empty()).then(|| format!("More than one cup: {}; {shared}.", words.join(", ")))
}

fn drops(report: &Report<'_>) -> Option<String> {
    let bottle = report.piece.supplies.bottle?;
    report.plan.layers.iter().find_map(|layer| Cup::of(layer).drops)?;
    let each_g = bottle.weighed.get() / f64::from(bottle.drops);
    Some(format!("drops (your bottle: {} g each): the whole number nearest to the weight.", short(each_g, 4)))
}

fn by_volume(report: &Report<'_>) -> Option<String> {
    report.plan.layers.iter().find_map(|layer| Cup::of(layer).a_ml)?;
    let bare = if report.piece.tint.is_some() { " The volumes are those of the parts without tint." } else { "" };
    Some(format!("Weigh the parts, or measure them by volume: never one's figures in the other's unit.{bare}"))
}

fn digit(report: &Report<'_>) -> Option<String> {
    let percents = report.plan.layers.iter().filter_map(|layer| Some((layer.digit_percent?, layer.number)));
    let (percent, number) = percents.max_by(|(a, _), (b, _)| a.total_cmp(b))?;
    let digit = report.piece.scales.catalyst;
    let of =
        if report.plan.layers.iter().any(|layer| Cup::of(layer).b_g.is_some()) { "part B" } else { "the catalyst" };
    let share = if percent < 0.1 { "under 0.1".to_owned() } else { short(percent, 1) };
    Some(format!("One digit of your scale, {digit}, is {share} % of {of} at most (layer {number})."))
}

/// The numbers of `layers`.
pub(super) fn numbers(layers: &[&LayerPlan]) -> Vec<u32> {
    layers.iter().map(|layer| layer.number).collect()
}

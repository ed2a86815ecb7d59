//! What is weighed once and divided among the cups.

use super::figures::{fixed, places, places_of_scale};
use super::groups::{gathered, layers_words};
use super::notes::numbers;
use super::{Report, Said};
use crate::material::Mixing;
use crate::pour::LayerPlan;

/// What to weigh and tint before the first pour, and how it is divided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Master {
    /// A sentence or two each.
    pub words: Vec<String>,
    /// A line for all cups that get the same.
    pub cups: Vec<Said>,
}

/// The master batch of a plan.
pub fn master(report: &Report<'_>) -> Master {
    let Report { piece, profile, plan, .. } = report;
    let batch = &plan.master;
    let places_shown = places_of_scale(piece.scales.resin.get(), 1);
    let grams = |g: f64| format!("{} g", fixed(g, places_shown));
    let two_part = matches!(profile.mixing, Mixing::TwoPart { .. });
    let what = if two_part { "part A" } else { "resin" };
    let reserve =
        if batch.reserve_g > 0.0 { format!(", {} of it in reserve", grams(batch.reserve_g)) } else { String::new() };
    let mut words = vec![format!("Weigh {} of {what}{reserve}.", grams(batch.resin_g))];
    if let Some(tint) = &piece.tint {
        let tint_g = fixed(batch.tint_g, places(std::iter::once(batch.tint_g), 2));
        words.push(format!("Stir in {tint_g} g of {}: weighed once, so that every layer has one colour.", tint.name));
    }
    if two_part {
        words.push("Part B goes into each cup only when its layer is poured.".to_owned());
    }
    let included = if piece.tint.is_some() { ", tint included" } else { "" };
    words.push(match profile.mixing {
        // What is used as it comes does not wait in cups.
        Mixing::OnePart => format!("Each cup takes of it, by weight{included}:"),
        Mixing::Catalysed { .. } | Mixing::TwoPart { .. } => format!("Divide by weight into cups{included}:"),
    });
    Master { words, cups: cups(&plan.layers, grams) }
}

fn cups(layers: &[LayerPlan], grams: impl Fn(f64) -> String) -> Vec<Said> {
    let each = |layer: &&LayerPlan| (layer.cups, grams(layer.from_master_g() / f64::from(layer.cups)));
    gathered(layers, each)
        .into_iter()
        .map(|((cups, each), layers)| {
            let all = u32::try_from(layers.len()).unwrap_or(u32::MAX).saturating_mul(cups);
            Said::new(format!("{all} × {each}"), layers_words(&numbers(&layers)))
        })
        .collect()
}

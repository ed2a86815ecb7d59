//! A trial, then the master batch: weighed, tinted, divided.

use super::step;
use crate::material::{Mixing, Profile};
use crate::pour::Tint;
use crate::pour::plan::ground::Ground;
use crate::pour::plan::outcome::{CupParts, LayerPlan, MasterBatch, Step};
use crate::pour::plan::step::StepId;
use crate::pour::plan::words::{percent, weighed};
use crate::units::{DosePercent, Grams};

/// A trial cup where the profile names no smallest batch, g.
const TRIAL_G: f64 = 30.0;
/// A list of cups that is longer than this is read from the table of layers instead, characters.
const LONGEST_LIST: usize = 240;

pub(super) fn steps(ground: &Ground<'_>, layers: &[LayerPlan], master: &MasterBatch) -> Vec<Step> {
    let mut steps = vec![trial(ground, layers)];
    steps.extend(ground.piece.tint.as_ref().filter(|_| !layers.is_empty()).map(|tint| stir_in(ground, master, tint)));
    if divides(ground, layers) {
        steps.push(divide(ground, layers));
    }
    steps
}

/// Whether the cups are filled beforehand, each waiting for its catalyst or its part B.
pub(super) fn divides(ground: &Ground<'_>, layers: &[LayerPlan]) -> bool {
    let cups: u32 = layers.iter().map(|layer| layer.cups).sum();
    let mixed = !matches!(ground.profile.mixing, Mixing::OnePart);
    mixed && (cups > 1 || cups == 1 && ground.piece.tint.is_some())
}

/// "tinted resin", "part A": what is in a cup before it is mixed.
pub(super) fn contents(ground: &Ground<'_>) -> String {
    let tinted = if ground.piece.tint.is_some() { "tinted " } else { "" };
    let what = match ground.profile.mixing {
        Mixing::TwoPart { .. } => "part A",
        Mixing::Catalysed { .. } | Mixing::OnePart => "resin",
    };
    format!("{tinted}{what}")
}

fn trial(ground: &Ground<'_>, layers: &[LayerPlan]) -> Step {
    let grams = ground.profile.batch_mass.min.map_or(TRIAL_G, |min| min.value.get());
    let dose = layers.first().and_then(|layer| match &layer.parts {
        CupParts::Catalysed { chosen, .. } => Some(chosen.dose),
        CupParts::TwoPart { .. } | CupParts::OnePart => None,
    });
    let weights =
        trial_weights(ground.profile, grams, dose).unwrap_or_else(|| weighed(grams, ground.piece.scales.resin, 1));
    let tint = ground.piece.tint.as_ref().map(|tint| {
        let tint_g = weighed(grams * tint.loading.get() / 100.0, ground.piece.scales.catalyst, 3);
        format!(", tinted with {tint_g} of {}", tint.name)
    });
    let what = format!(
        "Mix a trial cup of {weights}{}; write down when it gels and look at it cold.",
        tint.unwrap_or_default()
    );
    step(StepId::TrialCup, &what, "A cup tries the mix and the colour, not the heat of a deep layer.")
}

/// As [`Profile::weights`] has them, for `grams` of the whole.
fn trial_weights(profile: &Profile, grams: f64, dose: Option<DosePercent>) -> Option<String> {
    let resin = match &profile.mixing {
        Mixing::TwoPart { by_weight, .. } => grams * by_weight.value.a / (by_weight.value.a + by_weight.value.b),
        Mixing::Catalysed { .. } | Mixing::OnePart => grams,
    };
    Some(profile.weights(Grams::new(resin).ok()?, dose).ok()?.to_string())
}

fn stir_in(ground: &Ground<'_>, master: &MasterBatch, tint: &Tint) -> Step {
    let scales = ground.piece.scales;
    let two_part = matches!(ground.profile.mixing, Mixing::TwoPart { .. });
    let what = format!(
        "Weigh {} of {}, stir in {} of {} ({} of {}); let the bubbles rise.",
        weighed(master.resin_g, scales.resin, 1),
        if two_part { "part A" } else { "resin" },
        weighed(master.tint_g, scales.catalyst, 2),
        tint.name,
        percent(tint.loading.get()),
        if two_part { "A and B together" } else { "the resin" },
    );
    step(StepId::Tint, &what, "Tint all of it at once: a second tinting shows as a line.")
}

fn divide(ground: &Ground<'_>, layers: &[LayerPlan]) -> Step {
    let cups = cup_list(ground, layers);
    let list = if cups.chars().count() <= LONGEST_LIST { cups } else { "as the layers say".to_owned() };
    let what = format!("Weigh {} into cups numbered by layer: {list}.", contents(ground));
    let caution = match ground.profile.mixing {
        Mixing::TwoPart { .. } => "No part B yet. Cover the cups; stir each again before it is mixed.",
        Mixing::Catalysed { .. } | Mixing::OnePart => {
            "No catalyst yet. Cover the cups; stir each again before it is mixed."
        }
    };
    step(StepId::Divide, &what, caution)
}

/// "1: 96.2 g, 2 to 5: 91.7 g": what goes into each cup, runs of equal ones together.
fn cup_list(ground: &Ground<'_>, layers: &[LayerPlan]) -> String {
    let mut runs: Vec<(u32, u32, String)> = Vec::new();
    for layer in layers {
        let each = weighed(in_cup_g(layer), ground.piece.scales.resin, 1);
        let words = if layer.cups > 1 { format!("{} cups of {each}", layer.cups) } else { each };
        match runs.last_mut() {
            Some((_, last, same)) if *same == words => *last = layer.number,
            _ => runs.push((layer.number, layer.number, words)),
        }
    }
    let run = |(first, last, words): &(u32, u32, String)| {
        if first == last { format!("{first}: {words}") } else { format!("{first} to {last}: {words} each") }
    };
    runs.iter().map(run).collect::<Vec<_>>().join(", ")
}

/// What one of a layer's cups holds before it is mixed, its tint included.
pub(super) fn in_cup_g(layer: &LayerPlan) -> f64 {
    layer.from_master_g() / f64::from(layer.cups)
}

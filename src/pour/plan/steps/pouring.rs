//! Layer by layer: lay in, mix, pour; then cover.

use super::batch::{contents, divides, in_cup_g};
use super::step;
use crate::material::{AfterClosing, Cure, Mixing};
use crate::pour::plan::ground::{Ground, SAME_MM};
use crate::pour::plan::items::Floater;
use crate::pour::plan::outcome::{CupParts, LayerKind, LayerPlan, Step};
use crate::pour::plan::step::StepId;
use crate::pour::plan::words::{listed, ml, mm, percent, weighed};
use crate::pour::{Fixing, Item};

pub(super) fn steps(ground: &Ground<'_>, layers: &[LayerPlan], floaters: &[Floater<'_>]) -> Vec<Step> {
    let divided = divides(ground, layers);
    let mut steps = Vec::new();
    for layer in layers {
        steps.extend(bed(ground, layer));
        let what = format!("{}{}; pour {}.", pause(ground, layer), mix(ground, layer, divided), reach(layer));
        steps.push(step(StepId::Pour(layer.number), &sentence(&what), &caution(ground, layer, floaters)));
    }
    steps.push(cover(ground));
    steps
}

fn bed(ground: &Ground<'_>, layer: &LayerPlan) -> Option<Step> {
    let from_mm = layer.cast.from_mm;
    let placed = |item: &Item| {
        let at_mm = item.from.get();
        let higher = (at_mm - from_mm).abs() > SAME_MM && !item.bedded;
        if higher { format!("{} at {}", item.counted(), mm(at_mm)) } else { item.counted() }
    };
    let names: Vec<String> =
        layer.bedded.iter().filter_map(|place| ground.piece.items.get(*place)).map(placed).collect();
    if names.is_empty() {
        return None;
    }
    let what = if from_mm <= SAME_MM {
        format!("Put into the dry vessel: {}.", listed(&names))
    } else {
        let at = mm(from_mm);
        format!("Once the resin at {at} is firm enough to carry them, lay in: {}.", listed(&names))
    };
    Some(step(
        StepId::Bed(layer.number),
        &what,
        "Wet them with resin and set them down at a slant: flat sides trap air.",
    ))
}

/// What has to come before this layer besides the one below it.
fn pause(ground: &Ground<'_>, layer: &LayerPlan) -> String {
    let after = match layer.kind {
        LayerKind::Topping => "Topping, once the casting has cured and sunk".to_owned(),
        LayerKind::Cast if layer.cold => format!("Once layer {} has set cold", layer.number - 1),
        LayerKind::Cast => return String::new(),
    };
    let window = match ground.profile.after_closing {
        Some(AfterClosing::Sand) => ", sanded if its window has closed",
        Some(AfterClosing::Wash) => ", washed if its window has closed",
        Some(AfterClosing::Wait) => " and cured through",
        Some(AfterClosing::Nothing) | None => "",
    };
    format!("{after}{window}: ")
}

/// What is weighed into each cup and how it is mixed.
fn mix(ground: &Ground<'_>, layer: &LayerPlan, divided: bool) -> String {
    let cups = f64::from(layer.cups);
    let base = format!("{} of {}", weighed(in_cup_g(layer), ground.piece.scales.resin, 1), contents(ground));
    let cup = match layer.cups {
        1 => format!("cup {}, {base}", layer.number),
        cups => format!("each of the {cups} cups of layer {}, one after another, {base} in each", layer.number),
    };
    let fine = |grams: f64| weighed(grams / cups, ground.piece.scales.catalyst, 2);
    match &layer.parts {
        CupParts::Catalysed { catalyst_g, catalyst_ml, drops, chosen } => {
            let drops = drops.map(|all| format!(", {} drops", all / layer.cups)).unwrap_or_default();
            let dose = percent(chosen.dose.get());
            let catalyst = format!("{} of catalyst ({dose}; {}{drops})", fine(*catalyst_g), ml(catalyst_ml / cups));
            if divided { format!("stir {catalyst} into {cup}") } else { format!("weigh {base}, stir in {catalyst}") }
        }
        CupParts::TwoPart { b_g, a_ml, b_ml, .. } => {
            let b = format!("{} of part B", weighed(b_g / cups, ground.piece.scales.catalyst, 1));
            let weighing = if divided { format!("weigh {b} into {cup}") } else { format!("weigh {base} and {b}") };
            // The volumes are those of the bare parts.
            let volumes = match ground.piece.tint {
                Some(_) => String::new(),
                None => format!(" (or by volume alone: {} of A, {} of B)", ml(a_ml / cups), ml(b_ml / cups)),
            };
            format!("{weighing}{volumes}; mix well, sides and floor too")
        }
        CupParts::OnePart if layer.cups > 1 => format!("weigh {} cups of {base}", layer.cups),
        CupParts::OnePart => format!("weigh {base}"),
    }
}

fn reach(layer: &LayerPlan) -> String {
    format!("{} from {:.1} up to {}", ml(layer.cast.volume_ml), layer.cast.from_mm, mm(layer.cast.to_mm))
}

/// With a capital at its beginning.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn caution(ground: &Ground<'_>, layer: &LayerPlan, floaters: &[Floater<'_>]) -> String {
    let usual = match (&ground.profile.mixing, &ground.profile.cure) {
        (Mixing::Catalysed { .. }, _) => {
            "Goggles and gloves: peroxide burns eyes. A full cup heats up: pour soon, spread leftovers thin, and never \
             return any to the bottle."
        }
        (Mixing::TwoPart { .. }, _) => {
            "Gloves. A full cup heats up: pour soon, spread leftovers thin, and never return any to the bottles."
        }
        (Mixing::OnePart, Cure::Light { advice }) => advice.as_str(),
        (Mixing::OnePart, Cure::Thermal(_)) => "Gloves. Never return leftovers to the bottle.",
    };
    let mut caution = usual.to_owned();
    for Floater { item, pull_g, .. } in floaters.iter().filter(|floater| floater.layer == layer.number) {
        let words = match item.fixing {
            Fixing::Held => "see that it is held".to_owned(),
            Fixing::Loose => {
                format!("it pulls up with {pull_g:.1} g; pin it, or pour half its height and let that gel")
            }
        };
        caution = format!("{} would float: {words}. {caution}", item.name);
    }
    caution
}

fn cover(ground: &Ground<'_>) -> Step {
    let (what, caution) = match (&ground.profile.cure, &ground.profile.mixing) {
        (Cure::Light { .. }, _) => (
            "Keep dust off until it is lit through, then leave it to cool.",
            "Resin hidden from the light stays liquid and harmful.",
        ),
        (Cure::Thermal(_), Mixing::Catalysed { .. }) => (
            "Cover it against dust, with a gap for the vapour, and leave it level.",
            "Vapour leaves it for days: air the room, and do not sleep in it.",
        ),
        (Cure::Thermal(_), _) => (
            "Cover it against dust and leave it level until it has cured.",
            "It may be warm for hours: nothing that burns near it.",
        ),
    };
    step(StepId::Cover, what, caution)
}

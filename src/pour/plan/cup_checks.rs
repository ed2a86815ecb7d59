//! What is odd about the cups of one layer: batches too small or large, scales and drops too coarse.

use super::amounts::{drop_g, fine_g};
use super::ground::Ground;
use super::outcome::{CupParts, LayerPlan};
use super::warning::{Warning, WarningCode};
use super::words::{ml, percent, weighed};

/// A digit or a drop that is off by more than this share of what is dosed is worth a word.
const COARSE: f64 = 0.05;

pub(super) fn check(ground: &Ground<'_>, layer: &LayerPlan, warnings: &mut Vec<Warning>) {
    batch(ground, layer, warnings);
    scale(ground, layer, warnings);
    whole_drops(ground, layer, warnings);
}

fn batch(ground: &Ground<'_>, layer: &LayerPlan, warnings: &mut Vec<Warning>) {
    let resin = |grams| weighed(grams, ground.piece.scales.resin, 1);
    let limits = ground.profile.batch_mass;
    let number = layer.number;
    if let Some(min) = limits.min.map(|min| min.value.get()).filter(|min| layer.resin_g < *min) {
        let text = format!(
            "layer {number} takes {} of resin, under the {} that mix well: mix {} and pour the rest into a spare mould",
            resin(layer.resin_g),
            resin(min),
            resin(min)
        );
        warnings.push(Warning::of_layer(WarningCode::BatchTooSmall, number, &text));
    }
    if let Some(max) = limits.max.filter(|_| layer.cups > 1) {
        let text = format!(
            "layer {number} takes {} of resin, over the {} that stay cool in one cup: mix it in {} cups, each poured \
             before the next is mixed",
            resin(layer.resin_g),
            resin(max.value.get()),
            layer.cups
        );
        warnings.push(Warning::of_layer(WarningCode::BatchTooLarge, number, &text));
    }
}

fn scale(ground: &Ground<'_>, layer: &LayerPlan, warnings: &mut Vec<Warning>) {
    let (Some(off), Some(grams)) = (layer.digit_percent, fine_g(&layer.parts)) else { return };
    if off <= COARSE * 100.0 {
        return;
    }
    let cup_g = grams / f64::from(layer.cups);
    let finer = [0.1, 0.01, 0.001].into_iter().find(|digit| *digit <= COARSE * cup_g).unwrap_or(0.001);
    let (what, remedy) = match &layer.parts {
        CupParts::Catalysed { catalyst_ml, .. } => {
            let syringe = ml(catalyst_ml / f64::from(layer.cups));
            ("catalyst", format!("weigh it on a scale that shows {finer} g, or measure {syringe} with a fine syringe"))
        }
        _ => ("part B", format!("weigh it on a scale that shows {finer} g, or mix more and pour the rest elsewhere")),
    };
    let text = format!(
        "layer {}: the scale's last digit, {}, is {} of the {} of {what}: {remedy}",
        layer.number,
        ground.piece.scales.catalyst,
        percent(off),
        weighed(cup_g, ground.piece.scales.catalyst, 2)
    );
    warnings.push(Warning::of_layer(WarningCode::ScaleTooCoarse, layer.number, &text));
}

fn whole_drops(ground: &Ground<'_>, layer: &LayerPlan, warnings: &mut Vec<Warning>) {
    let CupParts::Catalysed { drops: Some(drops), .. } = layer.parts else { return };
    let (Some(bottle), Some(catalyst_g)) = (ground.piece.supplies.bottle, fine_g(&layer.parts)) else { return };
    let off = f64::from(drops) * drop_g(bottle) / catalyst_g - 1.0;
    if off.abs() > COARSE {
        let text = format!(
            "layer {}: {} differs from the {} it takes by {:.0} %: weigh the catalyst, or measure it with a fine syringe",
            layer.number,
            if drops == 1 { "1 drop".to_owned() } else { format!("{drops} drops") },
            weighed(catalyst_g, ground.piece.scales.catalyst, 2),
            off.abs() * 100.0
        );
        warnings.push(Warning::of_layer(WarningCode::DropsUncertain, layer.number, &text));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::testing::{
        block, cut, dropping, fresh, grams, label, losing, mm, polyester, profile, warnings,
    };
    use crate::pour::{Division, Piece};

    fn told(piece: &Piece, code: WarningCode) -> Vec<String> {
        warnings(&fresh(piece, &polyester()), code).iter().map(|told| told.text.to_string()).collect()
    }

    #[test]
    fn a_batch_under_the_smallest_is_told() {
        let mut large = polyester();
        large.batch_mass.min = Some(label(grams(250.0)));
        let plan = fresh(&block(), &large);
        let told = warnings(&plan, WarningCode::BatchTooSmall);
        assert_eq!(told.len(), 3);
        assert!(told[0].text.as_str().contains("mix 250.0 g and pour the rest into a spare mould"), "{told:?}");
    }

    #[test]
    fn a_batch_over_the_largest_is_told() {
        let mut small = polyester();
        small.batch_mass.max = Some(label(grams(100.0)));
        let plan = fresh(&losing(block(), 4.0), &small);
        assert!(warnings(&plan, WarningCode::BatchTooLarge)[0].text.as_str().contains("mix it in 3 cups"));
    }

    #[test]
    fn a_scale_too_coarse_for_the_catalyst_is_told() {
        let mut piece = block();
        piece.scales.catalyst = grams(1.0);
        // 2.17 g: a digit of 0.1 g is 4.6 % of it.
        let coarse = told(&piece, WarningCode::ScaleTooCoarse);
        assert!(coarse[0].contains("weigh it on a scale that shows 0.1 g, or measure 1.97 mL"), "{coarse:?}");
        assert!(told(&block(), WarningCode::ScaleTooCoarse).is_empty());
    }

    #[test]
    fn a_scale_too_coarse_for_part_b_is_told() {
        let mut piece = block();
        piece.scales.catalyst = grams(10.0);
        let plan = fresh(&piece, &profile("deep-pour-epoxy"));
        let coarse = warnings(&plan, WarningCode::ScaleTooCoarse);
        assert!(coarse[0].text.as_str().contains("of part B: weigh it on a scale that shows 0.1 g"), "{coarse:?}");
    }

    #[test]
    fn a_drop_that_cannot_hit_the_dose_is_told() {
        let mut piece = cut(dropping(block()), Division::Count(600));
        piece.layers.min = Some(mm(0.05));
        let uncertain = told(&piece, WarningCode::DropsUncertain);
        assert!(uncertain[0].starts_with("layer 1: 1 drop differs from the 0.02 g it takes by 28 %"), "{uncertain:?}");
        assert!(told(&dropping(block()), WarningCode::DropsUncertain).is_empty());
    }
}

//! What is weighed for one layer.
//!
//! The resin of a layer fills its volume at the liquid's density, and what stays in each cup comes on top. Catalyst and
//! tint are reckoned from that resin and added to it; the volume they bring with them (a few per cent at most) is left
//! out, as is common practice. Of a two-part system the resin is A and B together.

use super::cup_checks;
use super::ground::{Ground, parts};
use super::layers::Cut;
use super::outcome::{Cast, Chosen, CupParts, LayerPlan};
use super::warning::Warning;
use crate::material::{Mixing, Profile, Ratio};
use crate::pour::DropBottle;
use crate::units::GramsPerMl;

/// Works out one layer; `chosen` is its dose, where the material has one.
pub(super) fn layer(ground: &Ground<'_>, cut: Cut, chosen: Option<Chosen>, warnings: &mut Vec<Warning>) -> LayerPlan {
    let volume_ml = ground.space.volume_between_ml(cut.from_mm, cut.to_mm);
    let cast = Cast { from_mm: cut.from_mm, to_mm: cut.to_mm, volume_ml };
    let body_g = volume_ml * ground.resin_density();
    let loss_g = ground.piece.supplies.cup_loss.get();
    let cups = cups_for(ground, body_g, loss_g);
    let cup_loss_g = loss_g * f64::from(cups);
    let resin_g = body_g + cup_loss_g;
    let parts = match (&ground.profile.mixing, chosen) {
        (Mixing::Catalysed { catalyst_density, .. }, Some(chosen)) => {
            catalysed(ground, resin_g, cups, catalyst_density.value, chosen)
        }
        (Mixing::TwoPart { by_weight, by_volume, density_a, density_b, .. }, _) => {
            two_part(resin_g, by_weight.value, by_volume.value, [density_a.value, density_b.value])
        }
        _ => CupParts::OnePart,
    };
    let layer = LayerPlan {
        number: cut.number,
        kind: cut.kind,
        cast,
        resin_g,
        cup_loss_g,
        cups,
        tint_g: ground.piece.tint.as_ref().map_or(0.0, |tint| resin_g * tint.loading.get() / 100.0),
        digit_percent: fine_g(&parts).map(|g| ground.piece.scales.catalyst.get() / (g / f64::from(cups)) * 100.0),
        parts,
        cold: cut.cold,
        bedded: cut.bedded,
        peak_c: None,
    };
    cup_checks::check(ground, &layer, warnings);
    layer
}

/// How many cups a layer was mixed in that took `resin_g` with the loss in them, where none is over the profile's largest
/// batch; of a two-part system A and B together.
pub fn cups(profile: &Profile, resin_g: f64) -> u32 {
    profile.batch_mass.max.map_or(1, |max| parts(resin_g, max.value.get()))
}

/// As few cups as the profile's largest batch allows, each with its own loss in it.
fn cups_for(ground: &Ground<'_>, body_g: f64, loss_g: f64) -> u32 {
    let Some(max) = ground.profile.batch_mass.max else { return 1 };
    let max = max.value.get();
    let room = if loss_g < max { max - loss_g } else { max };
    parts(body_g, room)
}

fn catalysed(ground: &Ground<'_>, resin_g: f64, cups: u32, density: GramsPerMl, chosen: Chosen) -> CupParts {
    let catalyst_g = resin_g * chosen.dose.get() / 100.0;
    let drops = ground.piece.supplies.bottle.map(|bottle| drops(bottle, catalyst_g / f64::from(cups)) * cups);
    CupParts::Catalysed { catalyst_g, catalyst_ml: catalyst_g / density.get(), drops, chosen }
}

/// Whole drops nearest to `grams`, at least one.
fn drops(bottle: DropBottle, grams: f64) -> u32 {
    let drops = (grams / drop_g(bottle)).round().clamp(1.0, 1e6);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and in range, see above")]
    return drops as u32;
}

pub(super) fn drop_g(bottle: DropBottle) -> f64 {
    bottle.weighed.get() / f64::from(bottle.drops)
}

/// Splits `resin_g` of a mixed two-part system. By weight in the ratio by weight; by volume in the ratio by volume, of
/// which x parts weigh as much: x = m / (vA ρA + vB ρB). The two ratios of a label differ by its rounding, so grams of
/// one column never go with millilitres of the other.
fn two_part(resin_g: f64, weight: Ratio, volume: Ratio, [density_a, density_b]: [GramsPerMl; 2]) -> CupParts {
    let g_per_part = resin_g / (weight.a + weight.b);
    let ml_per_part = resin_g / (volume.a * density_a.get() + volume.b * density_b.get());
    CupParts::TwoPart {
        a_g: weight.a * g_per_part,
        b_g: weight.b * g_per_part,
        a_ml: volume.a * ml_per_part,
        b_ml: volume.b * ml_per_part,
    }
}

/// What has to be weighed on the fine scale, if anything.
pub(super) fn fine_g(parts: &CupParts) -> Option<f64> {
    let grams = match parts {
        CupParts::Catalysed { catalyst_g, .. } => *catalyst_g,
        CupParts::TwoPart { b_g, .. } => *b_g,
        CupParts::OnePart => 0.0,
    };
    (grams > 0.0).then_some(grams)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::plan::testing::{block, close, dropping, dye, fresh, grams, label, losing, polyester, profile};

    #[test]
    fn a_layer_is_its_volume_at_the_resins_density_and_what_stays_in_the_cup() {
        let mut piece = losing(block(), 4.0);
        piece.tint = Some(dye(0.05));
        let plan = fresh(&piece, &polyester());
        let layer = &plan.layers[0];
        close(layer.resin_g, 200.0 * 1.13 + 4.0);
        close(layer.cup_loss_g, 4.0);
        close(layer.tint_g, layer.resin_g * 0.0005);
        let CupParts::Catalysed { catalyst_g, catalyst_ml, drops: None, ref chosen } = layer.parts else {
            panic!("{layer:?}")
        };
        close(catalyst_g, layer.resin_g * chosen.dose.get() / 100.0);
        close(catalyst_ml, catalyst_g / 1.1);
    }

    #[test]
    fn a_batch_over_the_largest_goes_into_several_cups() {
        let mut small = polyester();
        small.batch_mass.max = Some(label(grams(100.0)));
        let plan = fresh(&losing(block(), 4.0), &small);
        let layer = &plan.layers[0];
        // 226 g at 96 g and 4 g of loss a cup.
        assert_eq!(layer.cups, 3);
        close(layer.resin_g, 226.0 + 12.0);
        assert!(layer.resin_g / 3.0 <= 100.0);
        assert_eq!([layer.resin_g, 100.0, 99.0].map(|resin_g| cups(&small, resin_g)), [3, 1, 1]);
    }

    #[test]
    fn both_columns_of_a_two_part_system_weigh_the_same() {
        let plan = fresh(&block(), &profile("deep-pour-epoxy"));
        let layer = &plan.layers[0];
        let CupParts::TwoPart { a_g, b_g, a_ml, b_ml } = layer.parts else { panic!("{layer:?}") };
        close(a_g + b_g, layer.resin_g);
        close(b_g / a_g, 0.44);
        close(a_ml * 1.13 + b_ml * 1.0, layer.resin_g);
        close(a_ml / b_ml, 2.0);
    }

    #[test]
    fn drops_are_whole_and_the_nearest() {
        let plan = fresh(&dropping(block()), &polyester());
        let CupParts::Catalysed { drops: Some(drops), catalyst_g, .. } = plan.layers[0].parts else { panic!() };
        // 20 mm take 1 · (20/19)^(ln 0.8 / ln(25/19)) = 0.96 %: 2.170 g, 74.8 drops of 0.029 g.
        assert_eq!(drops, 75, "{catalyst_g} g");
    }

    #[test]
    fn a_digit_is_held_against_what_is_weighed_at_once() {
        let mut piece = block();
        piece.scales.catalyst = grams(1.0);
        let plan = fresh(&piece, &polyester());
        let layer = &plan.layers[0];
        let CupParts::Catalysed { catalyst_g, .. } = layer.parts else { panic!() };
        close(layer.digit_percent.unwrap(), 100.0 / catalyst_g);
    }

    #[test]
    fn a_material_that_is_not_mixed_has_no_fine_weight() {
        let mut piece = block();
        piece.layers.max = Some(crate::units::Millimetres::new(60.0).unwrap());
        let plan = fresh(&piece, &profile("uv-resin"));
        assert_eq!((&plan.layers[0].parts, plan.layers[0].digit_percent), (&CupParts::OnePart, None));
    }
}

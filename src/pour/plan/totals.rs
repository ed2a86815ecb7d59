//! What is left to pour, added up, and what it costs.

use super::ground::Ground;
use super::outcome::{CupParts, LayerPlan, Totals};
use crate::units::PricePerKg;

pub(super) fn totals(ground: &Ground<'_>, layers: &[LayerPlan]) -> Totals {
    let sum = |of: fn(&LayerPlan) -> f64| layers.iter().map(of).sum::<f64>();
    let catalyst = |layer: &LayerPlan| match layer.parts {
        CupParts::Catalysed { catalyst_g, .. } => catalyst_g,
        CupParts::TwoPart { .. } | CupParts::OnePart => 0.0,
    };
    let part = |layer: &LayerPlan| match layer.parts {
        CupParts::TwoPart { a_g, b_g, .. } => (a_g, b_g),
        CupParts::Catalysed { .. } | CupParts::OnePart => (0.0, 0.0),
    };
    let (part_a_g, part_b_g) = layers.iter().map(part).fold((0.0, 0.0), |sum, (a, b)| (sum.0 + a, sum.1 + b));
    let totals = Totals {
        volume_ml: sum(|layer| layer.cast.volume_ml),
        displaced_ml: ground.space.displaced_below_ml(ground.fill_mm()),
        resin_g: sum(|layer| layer.resin_g),
        tint_g: sum(|layer| layer.tint_g),
        catalyst_g: layers.iter().map(catalyst).sum(),
        part_a_g,
        part_b_g,
        cup_loss_g: sum(|layer| layer.cup_loss_g),
        cost: None,
    };
    Totals { cost: cost(ground, &totals), ..totals }
}

/// Everything with the reserve at the prices that were given; what has no price costs nothing here.
fn cost(ground: &Ground<'_>, totals: &Totals) -> Option<f64> {
    let supplies = &ground.piece.supplies;
    let prices = &supplies.prices;
    let at = |price: Option<PricePerKg>, grams: f64| Some(price?.get() * grams / 1000.0);
    let of_each =
        [at(prices.resin, totals.resin_g), at(prices.catalyst, totals.catalyst_g), at(prices.tint, totals.tint_g)];
    let priced = of_each.into_iter().flatten().reduce(|sum, price| sum + price);
    priced.map(|cost| cost * (1.0 + supplies.reserve.get() / 100.0))
}

#[cfg(test)]
mod tests {
    use crate::pour::plan::testing::{block, close, dye, fresh, losing, percent, polyester, price, profile, shell};

    #[test]
    fn totals_are_the_sums_of_the_layers() {
        let mut piece = losing(block(), 4.0);
        piece.items = vec![shell(30.0)];
        let totals = fresh(&piece, &polyester()).totals;
        close(totals.volume_ml, 580.0);
        close(totals.displaced_ml, 20.0);
        close(totals.cup_loss_g, 16.0);
        close(totals.resin_g, 580.0 * 1.13 + 16.0);
        let parts = fresh(&piece, &profile("deep-pour-epoxy")).totals;
        close(parts.part_a_g + parts.part_b_g, parts.resin_g);
    }

    #[test]
    fn the_cost_counts_what_has_a_price_with_the_reserve() {
        let mut piece = losing(block(), 4.0);
        piece.tint = Some(dye(0.05));
        piece.supplies.reserve = percent(10.0);
        assert_eq!(fresh(&piece, &polyester()).totals.cost, None);
        piece.supplies.prices.resin = price(20.0);
        let resin_only = fresh(&piece, &polyester()).totals;
        close(resin_only.cost.unwrap(), resin_only.resin_g * 1.1 * 0.02);
        (piece.supplies.prices.catalyst, piece.supplies.prices.tint) = (price(50.0), price(200.0));
        let all = fresh(&piece, &polyester()).totals;
        close(all.cost.unwrap(), 1.1 * (all.resin_g * 0.02 + all.catalyst_g * 0.05 + all.tint_g * 0.2));
    }
}

//! Everything added up.

use super::figures::{fixed, places, places_of_scale, short};
use super::head::layers_words;
use super::{Report, Said};
use crate::material::Mixing;

/// The totals, a line each; a line only where there is something to say.
pub fn totals(report: &Report<'_>) -> Vec<Said> {
    let Report { piece, profile, plan, .. } = report;
    let totals = &plan.totals;
    let resin = |g: f64| format!("{} g", fixed(g, places_of_scale(piece.scales.resin.get(), 1)));
    let fine =
        |g: f64| format!("{} g", fixed(g, places(std::iter::once(g), places_of_scale(piece.scales.catalyst.get(), 2))));
    let cups: u32 = plan.layers.iter().map(|layer| layer.cups).sum();
    let mut said = vec![Said::new("poured", format!("{:.1} mL in {}", totals.volume_ml, layers_words(report)))];
    let mut add = |about: &str, words: String| said.push(Said::new(about, words));
    if totals.displaced_ml > 0.0 {
        add("displaced", format!("{:.1} mL by what is embedded, below the fill", totals.displaced_ml));
    }
    match &profile.mixing {
        Mixing::Catalysed { .. } => {
            add("resin", resin(totals.resin_g));
            add("catalyst", fine(totals.catalyst_g));
        }
        Mixing::TwoPart { .. } => {
            add("resin", format!("{}, A and B together", resin(totals.resin_g)));
            add("part A", resin(totals.part_a_g));
            add("part B", resin(totals.part_b_g));
        }
        Mixing::OnePart => add("resin", resin(totals.resin_g)),
    }
    if totals.tint_g > 0.0 {
        add("tint", fine(totals.tint_g));
    }
    if totals.cup_loss_g > 0.0 {
        let cups = if cups == 1 { "1 cup".to_owned() } else { format!("{cups} cups") };
        add("cup loss", format!("{} of the resin stays in {cups}", resin(totals.cup_loss_g)));
    }
    if let Some(cost) = totals.cost {
        add("cost", format!("{} {} for {}", fixed(cost, 2), piece.supplies.prices.currency, priced(report)));
    }
    said
}

/// What of the materials has a price.
fn priced(report: &Report<'_>) -> String {
    let prices = &report.piece.supplies.prices;
    let all = [("resin", prices.resin), ("catalyst", prices.catalyst), ("tint", prices.tint)];
    let named: Vec<&str> = all.into_iter().filter_map(|(name, price)| price.map(|_| name)).collect();
    let reserve = report.piece.supplies.reserve.get();
    let with = if reserve > 0.0 { format!(", with {} % in reserve", short(reserve, 1)) } else { String::new() };
    format!("{}{with}", named.join(", "))
}

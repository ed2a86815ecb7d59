//! The heat in words: the hottest layer, what is embedded, what has to be known to read the figures.

use super::cells::{hours_words, place_words};
use super::verdict::{PeakBand, Verdict};
use crate::pour::{ItemHeat, PieceHeat, PouredLayer, Waited};
use crate::report::Said;
use crate::report::figures::fixed;
use crate::report::groups::layers_words;

/// Where the grid did not follow the reaction.
pub const NOT_RESOLVED: &str = "not resolved: the front is steeper than the grid; do not rely on the figures";

/// The hottest layer in a sentence; empty where there is no layer.
pub fn hottest_words(heat: &PieceHeat) -> String {
    let Some(layer) = heat.hottest() else { return String::new() };
    let PeakBand { low_c, high_c, .. } = PeakBand::of(layer.heat.peak_c, layer.start_c);
    let which = if heat.layers.len() > 1 { format!("layer {} ", layer.number) } else { "the layer ".to_owned() };
    let place = match place_words(layer).as_str() {
        name @ ("top" | "middle" | "bottom") => format!("at its {name}"),
        down => format!("{} below its top", down.trim_end_matches(" down")),
    };
    let [peak, low, high, limit] = [layer.heat.peak_c, low_c, high_c, heat.limit.get()].map(|c| fixed(c, 0));
    // Only catalyst can be dosed; the ratio of two parts is never changed.
    let less = if layer.dose.is_some() { "pour thinner, or dose less" } else { "pour thinner" };
    let against = match Verdict::of(layer.heat.peak_c, layer.start_c, heat.limit.get()) {
        Verdict::Within => format!("the profile's limit is {limit} °C"),
        Verdict::Close => format!("that may reach the profile's limit of {limit} °C: {less}"),
        Verdict::Over => format!("that is over the profile's limit of {limit} °C: {less}"),
    };
    format!(
        "Hottest: {which}reaches about {peak} °C ({low} to {high} °C) {} h after its pour, {place}; {against}.",
        hours_words(layer.peak_h())
    )
}

/// What is embedded, against its own limits; what has none is told as well.
pub fn heat_items(heat: &PieceHeat) -> Vec<Said> {
    let layers = heat.layers.iter();
    layers
        .flat_map(|layer| layer.items.iter().map(move |item| Said::new(item.name.as_str(), item_words(item, layer))))
        .collect()
}

fn item_words(item: &ItemHeat, layer: &PouredLayer) -> String {
    let ItemHeat { peak_c, peak_h, limit, .. } = item;
    let seen =
        format!("about {} °C, {} h after the pour of layer {}", fixed(*peak_c, 0), hours_words(*peak_h), layer.number);
    let Some(limit) = limit else { return format!("{seen}; no limit given") };
    let limit_words = format!("its limit is {} °C", fixed(limit.get(), 0));
    match Verdict::of(*peak_c, layer.start_c, limit.get()) {
        Verdict::Within => format!("{seen}; {limit_words}"),
        Verdict::Close => format!("{seen}; CLOSE: {limit_words}"),
        Verdict::Over => format!("{seen}; TOO HOT: {limit_words}"),
    }
}

/// A sentence or two each.
pub fn heat_notes(heat: &PieceHeat) -> Vec<String> {
    let mut notes = Vec::new();
    if !heat.resolved() {
        let rough = heat.layers.iter().filter(|layer| !layer.heat.resolved).map(|layer| layer.number);
        notes.push(format!("! {}: {NOT_RESOLVED}.", layers_words(&rough.collect::<Vec<_>>())));
    }
    let nights: Vec<u32> =
        heat.layers.iter().filter(|layer| layer.waited == Waited::Night).map(|layer| layer.number).collect();
    if !nights.is_empty() {
        notes.push(format!(
            "Reckoned as poured after a night: {}. What it waits for does not come before, or is not known.",
            layers_words(&nights)
        ));
    }
    if heat.layers.len() > 1 {
        notes.push(
            "Each layer is reckoned as poured, at the temperature of the bench, when the window of the one below opens with the \
             heat of its cure. One that waits longer finds it cooler, and stays cooler."
                .to_owned(),
        );
    }
    let cold: Vec<u32> =
        heat.layers.iter().filter(|layer| layer.waited == Waited::Cold).map(|layer| layer.number).collect();
    if !cold.is_empty() {
        notes.push(format!("Poured onto what has set cold, overnight: {}.", layers_words(&cold)));
    }
    notes.push(
        "±: 15 % of the rise above the bench, a working value; bottles and benches differ. Times count from a layer's own \
         pour: heated, with the heat of its cure; plain, by the temperature of the bench alone. Opens and closes: the window \
         of the next layer."
            .to_owned(),
    );
    notes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::heat::testing::{layer, piece_heat};
    use crate::text::PlainText;
    use crate::units::Celsius;

    #[test]
    fn the_hottest_layer_is_told_with_its_band_and_its_limit() {
        let mut heat = piece_heat(vec![layer(1, 20.0, 60.0, 4.0), layer(2, 10.0, 95.0, 5.0)]);
        assert!(hottest_words(&heat).ends_with(": pour thinner."), "the ratio of two parts is never changed");
        heat.layers[1].dose = crate::units::DosePercent::new(1.0).ok();
        assert_eq!(
            hottest_words(&heat),
            "Hottest: layer 2 reaches about 95 °C (84 to 106 °C) 1:00 h after its pour, at its middle; that is over the \
             profile's limit of 90 °C: pour thinner, or dose less."
        );
        let alone = hottest_words(&piece_heat(vec![layer(1, 20.0, 60.0, 4.0)]));
        assert!(alone.contains("the layer reaches about 60 °C (54 to 66 °C)"), "{alone}");
        assert!(alone.contains("4 mm below its top; the profile's limit is 90 °C."), "{alone}");
    }

    #[test]
    fn items_are_held_against_their_own_limits() {
        let mut warm = layer(1, 10.0, 60.0, 5.0);
        let item = |name, peak_c, limit_c| ItemHeat {
            name: PlainText::new(name),
            peak_c,
            peak_h: 1.1,
            limit: Celsius::new(limit_c).ok(),
        };
        warm.items = vec![item("shell", 50.0, f64::NAN), item("seedhead", 58.0, 50.0), item("stem", 58.0, 60.0)];
        let said: Vec<String> = heat_items(&piece_heat(vec![warm])).into_iter().map(|said| said.words).collect();
        assert!(said[0].ends_with("1:06 h after the pour of layer 1; no limit given"), "{said:?}");
        assert!(said[1].contains("TOO HOT: its limit is 50 °C"), "{said:?}");
        assert!(said[2].contains("CLOSE: its limit is 60 °C"), "{said:?}");
    }

    #[test]
    fn what_is_not_to_be_relied_on_is_said_first() {
        let mut rough = layer(2, 10.0, 60.0, 5.0);
        rough.heat.resolved = false;
        let notes = heat_notes(&piece_heat(vec![layer(1, 10.0, 60.0, 5.0), rough]));
        assert!(notes[0].starts_with("! layer 2: not resolved"), "{notes:?}");
    }
}

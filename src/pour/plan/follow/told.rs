//! How hot the followed layers get, and what is too hot.

use super::{Cooling, Following, Hottest};
use crate::pour::heat::{FOLLOWED_H, Stack, items_of};
use crate::pour::plan::choice::LATE;
use crate::pour::plan::ground::parts;
use crate::pour::plan::outcome::LayerPlan;
use crate::pour::plan::warning::{Warning, WarningCode};
use crate::pour::plan::words::{mm, percent, short};

/// What is hotter than its limit by no more than this is told by nobody's thermometer, °C.
const TOLD_C: f64 = 0.5;

/// A layer over its limit, as the plan pours on or with nothing poured on it.
struct TooHot {
    peak_c: f64,
    /// Poured on as soon as it can be, it is not over.
    only_open: bool,
}

impl Following<'_> {
    /// Follows the last layer to its end, writes the peaks into `layers`, which are all that are left to pour, and tells
    /// what is over its limit.
    pub fn finish(mut self, layers: &mut [LayerPlan], warnings: &mut Vec<Warning>) {
        self.stack.pile.run_until_calm(self.stack.pile.now_h() + FOLLOWED_H);
        let heats = self.stack.pile.layers();
        for (layer, heat) in layers.iter_mut().zip(&heats[self.base..]) {
            layer.peak_c = Some(heat.peak_c);
        }
        let told = layers.iter().enumerate();
        let told: Vec<(usize, TooHot)> =
            told.filter_map(|(place, layer)| Some((place, self.too_hot_c(place, layer)?))).collect();
        // What is found out for the first one is too much to find out for each.
        let on = told.first().and_then(|(first, _)| self.hot.iter().find(|(hot, _)| hot == first));
        for (place, too_hot) in &told {
            let on = on.filter(|(hot, _)| hot == place).map(|(_, on)| on);
            warnings.push(self.layer_too_hot(&layers[*place], *place, too_hot, on));
        }
        for (place, item) in items_of(self.ground.piece, &self.watches, self.stack.pile.items(), &heats) {
            let Some(limit) = item.limit.filter(|limit| item.peak_c > limit.get() + TOLD_C) else { continue };
            // What was hottest before now is no matter of a plan.
            if heats[place].poured_h + item.peak_h < 0.0 {
                continue;
            }
            let Some(layer) = layers.get(place.saturating_sub(self.base)) else { continue };
            let text = format!(
                "'{}' gets to about {:.0} °C by layer {}, over its {} °C: pour that layer thinner, let what lies below set \
                 cold first, or try the item in a cup of resin",
                item.name,
                item.peak_c,
                layer.number,
                short(limit.get())
            );
            warnings.push(Warning::of_layer(WarningCode::ItemTooHot, layer.number, &text));
        }
    }

    /// How hot a layer gets that gets too hot.
    fn too_hot_c(&self, place: usize, layer: &LayerPlan) -> Option<TooHot> {
        let peak_c = layer.peak_c?;
        let open_c = match self.taken.get(place).map(|taken| &taken.cooling) {
            Some(Cooling::TooHot(Hottest { what: None, peak_c, .. })) => *peak_c,
            _ => peak_c,
        };
        let most_c = self.limit_c + TOLD_C;
        let too_hot = TooHot { peak_c: peak_c.max(open_c), only_open: peak_c <= most_c };
        (too_hot.peak_c > most_c).then_some(too_hot)
    }

    /// `on` is what the layer is poured on, where it is to be found out how deep it could be.
    fn layer_too_hot(&self, layer: &LayerPlan, place: usize, too_hot: &TooHot, on: Option<&Stack<'_>>) -> Warning {
        let dose = layer.dose();
        let remedy = match on.and_then(|on| self.deepest_mm(place, on, dose)) {
            Some(deepest_mm) => {
                let parts = parts(layer.cast.depth_mm(), deepest_mm);
                format!("here up to about {} stays under it: pour it in {parts} thinner layers", mm(deepest_mm))
            }
            None if layer.cold || place + self.base == 0 => "pour it in thinner layers".to_owned(),
            None => "pour it in thinner layers, or let what lies below set cold first".to_owned(),
        };
        let text = format!(
            "layer {} gets to about {:.0} °C{}{}, over the {} °C its profile allows; {remedy}",
            layer.number,
            too_hot.peak_c,
            dose.map(|dose| format!(" at {}", percent(dose.get()))).unwrap_or_default(),
            if too_hot.only_open { LATE } else { "" },
            short(self.limit_c)
        );
        Warning::of_layer(WarningCode::LayerTooHot, layer.number, &text)
    }
}

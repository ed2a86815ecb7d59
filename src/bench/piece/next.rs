//! The next layer: what is planned for it, and what was really weighed.

use super::standing::Standing;
use crate::bench::command::{Dose, NewMix};
use crate::bench::entry::Part;
use crate::material::Weights;
use crate::pour::{CupParts, LayerKind, LayerPlan, Piece, Space};
use crate::text::PlainText;
use crate::units::{Grams, Millimetres};
use jiff::Timestamp;

/// What was put on the scale for a layer; what is left out was weighed as planned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Poured {
    /// What came out of the master batch: resin with its tint, of a two-part system part A with its tint.
    pub weighed: Option<Grams>,
    pub catalyst: Option<Grams>,
    /// First contact of the parts.
    pub at: Timestamp,
}

impl Poured {
    /// What came out of the master batch for `layer`, tint included.
    pub(in crate::bench) fn weighed_g(&self, layer: &LayerPlan) -> f64 {
        self.weighed.map_or(layer.from_master_g(), Grams::get)
    }
}

impl Standing {
    /// The batch that `poured` makes of the next layer of `piece`; `None` when the piece is full.
    pub fn next_mix(&self, piece: &Piece, poured: &Poured) -> Option<NewMix> {
        let layer = self.next_layer()?;
        let weighed_g = poured.weighed_g(layer);
        let resin_g = weighed_g * layer.dished_g() / layer.from_master_g();
        let brim_mm = piece.vessel.height_mm();
        let depth = Millimetres::new(reached_mm(piece, layer, weighed_g).unwrap_or(brim_mm) - layer.cast.from_mm).ok();
        let id = self.id;
        let (part, name) = match layer.kind {
            LayerKind::Cast => (Part::Layer { piece: id, layer: layer.number }, format!("layer {}", layer.number)),
            LayerKind::Topping => (Part::Topping { piece: id, layer: layer.number }, "topping".to_owned()),
        };
        let dose = match (&layer.parts, poured.catalyst) {
            (_, Some(catalyst)) => Dose::Weighed(catalyst),
            (CupParts::Catalysed { chosen, .. }, None) => {
                // Another amount is another depth, which has a dose of its own.
                let moved = depth.filter(|_| poured.weighed.is_some() && layer.kind == LayerKind::Cast);
                let for_depth =
                    |real: Millimetres| self.profile.dose_for_depth(chosen.dose, layer.cast.depth_mm(), real.get());
                Dose::Percent(moved.map_or(chosen.dose, for_depth))
            }
            (CupParts::TwoPart { .. } | CupParts::OnePart, None) => Dose::Usual,
        };
        Some(NewMix {
            material: piece.material.clone(),
            label: PlainText::new(&format!("{name}, {}", piece.name)),
            resin: Grams::new(resin_g).ok(),
            dose,
            depth,
            onto: self.laid.last().map(|below| below.batch),
            part: Some(part),
            at: poured.at,
        })
    }
}

/// Where `weighed_g` out of the master batch make the resin of `layer` stand, what stays in its cups left out; `None` where
/// it runs over the brim.
pub(in crate::bench) fn reached_mm(piece: &Piece, layer: &LayerPlan, weighed_g: f64) -> Option<f64> {
    let in_cup_ml = layer.cast.volume_ml * layer.resin_g / (layer.resin_g - layer.cup_loss_g);
    let lost_ml = in_cup_ml - layer.cast.volume_ml;
    let space = Space::new(&piece.vessel, &piece.items);
    let poured_ml = (in_cup_ml * weighed_g / layer.from_master_g() - lost_ml).max(0.0);
    space.level_after_mm(layer.cast.from_mm, poured_ml)
}

/// The next layer in one line: which, what to weigh, and what to wait for besides its window.
pub fn pour_words(layer: &LayerPlan) -> String {
    let which = match layer.kind {
        LayerKind::Cast => format!("layer {}", layer.number),
        LayerKind::Topping => "the topping".to_owned(),
    };
    let tinted = if layer.tint_g > 0.0 { "tinted " } else { "" };
    let cups = if layer.cups > 1 { format!(", in {} cups", layer.cups) } else { String::new() };
    let wait = match layer.kind {
        LayerKind::Topping => ", once the casting has cured and sunk",
        LayerKind::Cast if layer.cold => ", once the layer below has set cold",
        LayerKind::Cast => "",
    };
    let weights = layer.weights().map(|weights| format!(": {tinted}{weights}{cups}")).unwrap_or_default();
    format!("pour {which}{weights}{wait}")
}

/// The weights alone in the fewest words, for where one must not be cut off.
pub fn pour_words_brief(layer: &LayerPlan) -> String {
    let number = layer.number;
    let cups = if layer.cups > 1 { format!(", {} cups", layer.cups) } else { String::new() };
    match layer.weights() {
        None => format!("{number}: too little to weigh"),
        Some(Weights::Catalysed { resin, catalyst }) => format!("{number}: {resin:.1} + {catalyst:.2} cat.{cups}"),
        Some(other) => format!("{number}: {other}{cups}"),
    }
}

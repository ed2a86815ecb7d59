//! The next layer: what is planned for it, and what was really weighed.

use super::standing::Standing;
use crate::bench::command::{Dose, NewMix};
use crate::bench::entry::Part;
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

impl Standing {
    /// The batch that `poured` makes of the next layer of `piece`; `None` when the piece is full.
    pub fn next_mix(&self, piece: &Piece, poured: &Poured) -> Option<NewMix> {
        let layer = self.next_layer()?;
        let weighed_g = poured.weighed.map_or(layer.from_master_g(), Grams::get);
        let resin_g = weighed_g * layer.dished_g() / layer.from_master_g();
        let id = self.id;
        let (part, name) = match layer.kind {
            LayerKind::Cast => (Part::Layer { piece: id, layer: layer.number }, format!("layer {}", layer.number)),
            LayerKind::Topping => (Part::Topping { piece: id, layer: layer.number }, "topping".to_owned()),
        };
        let dose = match (&layer.parts, poured.catalyst) {
            (_, Some(catalyst)) => Dose::Weighed(catalyst),
            (CupParts::Catalysed { chosen, .. }, None) => Dose::Percent(chosen.dose),
            (CupParts::TwoPart { .. } | CupParts::OnePart, None) => Dose::Usual,
        };
        Some(NewMix {
            material: piece.material.clone(),
            label: PlainText::new(&format!("{name}, {}", piece.name)),
            resin: Grams::new(resin_g).ok(),
            dose,
            depth: depth_of(piece, layer, resin_g / layer.dished_g()),
            onto: self.laid.last().map(|below| below.batch),
            part: Some(part),
            at: poured.at,
        })
    }
}

/// The depth that `share` of the planned resin makes.
fn depth_of(piece: &Piece, layer: &LayerPlan, share: f64) -> Option<Millimetres> {
    let from_mm = layer.cast.from_mm;
    let in_cup_ml = layer.cast.volume_ml * layer.resin_g / (layer.resin_g - layer.cup_loss_g);
    let lost_ml = in_cup_ml - layer.cast.volume_ml;
    let space = Space::new(&piece.vessel, &piece.items);
    let to_mm = space.level_after_mm(from_mm, (in_cup_ml * share - lost_ml).max(0.0));
    Millimetres::new(to_mm.unwrap_or(piece.vessel.height_mm()) - from_mm).ok()
}

/// The next layer in one line: which, what to weigh, and what to wait for besides its window.
pub fn pour_words(layer: &LayerPlan) -> String {
    let which = match layer.kind {
        LayerKind::Cast => format!("layer {}", layer.number),
        LayerKind::Topping => "the topping".to_owned(),
    };
    let tinted = if layer.tint_g > 0.0 { " from the tinted master" } else { "" };
    let wait = match layer.kind {
        LayerKind::Topping => ", once the casting has cured and sunk",
        LayerKind::Cast if layer.cold => ", once the layer below has set cold",
        LayerKind::Cast => "",
    };
    let weights = layer.weights().map(|weights| format!(": {weights}{tinted}")).unwrap_or_default();
    format!("pour {which}{weights}{wait}")
}

//! Where the layers lie in a model that knows no shrinkage.

use super::MM_A_M;
use crate::pour::LayerKind;

/// What one layer fills, mm above the floor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::pour) struct Stretch {
    pub kind: LayerKind,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// The topping lies on the others with its own depth, and where the vessel has no room for that, all of them lie a little
/// lower.
#[derive(Debug, Clone, Copy)]
pub(in crate::pour) struct Room {
    lowered: f64,
    cast_to_mm: f64,
}

impl Room {
    /// Of a vessel so high for `layers`, poured onto resin that stands at `level_mm`.
    pub fn new(height_m: f64, level_mm: f64, layers: impl Iterator<Item = Stretch>) -> Self {
        let (mut cast_to_mm, mut topping_mm) = (level_mm, 0.0);
        for layer in layers {
            match layer.kind {
                LayerKind::Cast => cast_to_mm = layer.to_mm.max(cast_to_mm),
                LayerKind::Topping => topping_mm += layer.to_mm - layer.from_mm,
            }
        }
        let room_mm = height_m * MM_A_M - topping_mm;
        Self { lowered: if cast_to_mm > room_mm { room_mm / cast_to_mm } else { 1.0 }, cast_to_mm }
    }

    /// Where the layer ends.
    pub fn top_m(self, layer: Stretch) -> f64 {
        match layer.kind {
            LayerKind::Cast => self.level_m(layer.to_mm),
            LayerKind::Topping => self.level_m(self.cast_to_mm) + (layer.to_mm - layer.from_mm) / MM_A_M,
        }
    }

    /// Where resin lies that was cast up to `level_mm`.
    pub fn level_m(self, level_mm: f64) -> f64 {
        level_mm * self.lowered / MM_A_M
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch(kind: LayerKind, from_mm: f64, to_mm: f64) -> Stretch {
        Stretch { kind, from_mm, to_mm }
    }

    #[test]
    fn a_topping_lies_on_the_others_with_its_own_depth() {
        let (cast, topping) = (stretch(LayerKind::Cast, 30.0, 40.0), stretch(LayerKind::Topping, 37.0, 40.0));
        let tops = |height_m: f64| {
            let room = Room::new(height_m, 0.0, [cast, topping].into_iter());
            [cast, topping].map(|layer| format!("{:.3}", room.top_m(layer) * MM_A_M))
        };
        assert_eq!(tops(0.06), ["40.000", "43.000"]);
        assert_eq!(tops(0.04), ["37.000", "40.000"], "never over the brim");
    }

    #[test]
    fn a_topping_on_resin_that_is_there_already_lies_on_it() {
        let topping = stretch(LayerKind::Topping, 37.0, 40.0);
        let room = Room::new(0.05, 39.0, std::iter::once(topping));
        assert!((room.top_m(topping) - 0.042).abs() < 1e-12);
    }
}

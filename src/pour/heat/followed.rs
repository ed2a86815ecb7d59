//! A piece as it is really poured, followed while it grows and while the room is measured on.

use super::room::{Room, Stretch};
use super::{FOLLOWED_H, hollow, item_watches, surroundings};
use crate::cure::TemperatureCurve;
use crate::heat::{Hollow, ItemPeak, ItemWatch, LayerHeat, LayerPour, MaterialHeat, Pile, Surroundings};
use crate::pour::{LayerKind, Piece};
use crate::units::{DosePercent, Millimetres};
use std::sync::Arc;

/// One layer as it was poured. Hours are those of the bench curve.
#[derive(Debug, Clone, PartialEq)]
pub struct RealPour {
    pub kind: LayerKind,
    /// Above the vessel's floor.
    pub from_mm: f64,
    pub to_mm: f64,
    /// First contact of the parts.
    pub at_h: f64,
    pub dose: Option<DosePercent>,
    pub material: Arc<MaterialHeat>,
}

/// Layers as they were poured, followed along the bench until they are calm.
#[derive(Debug, Clone)]
pub struct Followed {
    bench: TemperatureCurve,
    laid: Vec<Laid>,
    /// Just after the newest pour. What came before it need not be followed again when there is another reading.
    newest: Pile,
    height_m: f64,
    layers: Vec<LayerHeat>,
    items: Vec<Option<ItemPeak>>,
}

/// A pour with the level it comes to in the model.
#[derive(Debug, Clone, PartialEq)]
struct Laid {
    to_m: f64,
    at_h: f64,
    dose: Option<DosePercent>,
    material: Arc<MaterialHeat>,
}

impl Followed {
    /// `pours` in the vessel of `piece`, each as warm as the bench when it was poured. `None` where the vessel is too small
    /// to be told from nothing.
    pub fn in_piece(piece: &Piece, pours: &[RealPour], bench: TemperatureCurve) -> Option<Self> {
        Some(Self::new(hollow(piece)?, surroundings(piece), Vec::new(), pours, bench))
    }

    /// The same with an eye on the piece's items.
    pub fn with_items(piece: &Piece, pours: &[RealPour], bench: TemperatureCurve) -> Option<Self> {
        Some(Self::new(hollow(piece)?, surroundings(piece), item_watches(piece), pours, bench))
    }

    /// One wide layer by itself on the bench, whose sides do not count.
    pub fn wide(depth: Millimetres, pour: &RealPour, bench: TemperatureCurve) -> Self {
        let pours = std::slice::from_ref(pour);
        Self::new(Hollow::slab(depth), Surroundings::ON_THE_BENCH, Vec::new(), pours, bench)
    }

    fn new(
        hollow: Hollow,
        around: Surroundings,
        watches: Vec<ItemWatch>,
        pours: &[RealPour],
        bench: TemperatureCurve,
    ) -> Self {
        let height_m = hollow.height_m();
        let from_h = pours.first().map_or(0.0, |pour| pour.at_h);
        let empty = Pile::new(hollow, around, bench.clone(), from_h, watches);
        let nothing = Self {
            bench: bench.clone(),
            laid: Vec::new(),
            newest: empty,
            height_m,
            layers: Vec::new(),
            items: Vec::new(),
        };
        nothing.on_with(laid(height_m, pours), bench)
    }

    /// The same with more poured, or more measured. `None` where something changed before the newest pour, so that it has to
    /// be followed from the start.
    pub fn again(&self, pours: &[RealPour], bench: TemperatureCurve) -> Option<Self> {
        let laid = laid(self.height_m, pours);
        let same = laid.starts_with(&self.laid) && self.bench.agrees_until_h(&bench) >= self.newest.now_h();
        if same && laid.len() == self.laid.len() && self.bench == bench {
            return Some(self.clone());
        }
        same.then(|| self.on_with(laid, bench))
    }

    fn on_with(&self, laid: Vec<Laid>, bench: TemperatureCurve) -> Self {
        let mut pile = self.newest.clone();
        pile.go_on_along(bench.clone());
        for pour in &laid[self.laid.len()..] {
            pile.run_until(pour.at_h);
            let (resin, clocks) = (pour.material.resin(pour.dose), pour.material.clocks(pour.dose));
            pile.pour(LayerPour { to_m: pour.to_m, resin, start_c: bench.at(pile.now_h()), clocks });
        }
        let newest = pile.clone();
        pile.run_until_calm(pile.now_h() + FOLLOWED_H);
        let items = pile.items().to_vec();
        Self { bench, laid, newest, height_m: self.height_m, layers: pile.layers(), items }
    }

    /// The highest temperature of each item that was watched, in the piece's order; `None` before resin reaches it.
    pub fn items(&self) -> &[Option<ItemPeak>] {
        &self.items
    }

    /// What each of the pours went and will go through, in their order; one without any depth is left out.
    pub fn layers(&self) -> &[LayerHeat] {
        &self.layers
    }
}

fn laid(height_m: f64, pours: &[RealPour]) -> Vec<Laid> {
    let stretch = |pour: &RealPour| Stretch { kind: pour.kind, from_mm: pour.from_mm, to_mm: pour.to_mm };
    let room = Room::new(height_m, 0.0, pours.iter().map(stretch));
    let laid = |pour: &RealPour| Laid {
        to_m: room.top_m(stretch(pour)),
        at_h: pour.at_h,
        dose: pour.dose,
        material: pour.material.clone(),
    };
    pours.iter().map(laid).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::Knot;
    use crate::material::{Catalogue, Stage};
    use crate::units::Celsius;

    fn pour(number: u32, at_h: f64, material: &Arc<MaterialHeat>) -> RealPour {
        let from_mm = f64::from(number) * 10.0;
        RealPour {
            kind: LayerKind::Cast,
            from_mm,
            to_mm: from_mm + 10.0,
            at_h,
            dose: None,
            material: Arc::clone(material),
        }
    }

    fn night(readings: usize) -> TemperatureCurve {
        let knot = |i: usize| Knot { at_h: i as f64 * 0.5, celsius: Celsius::new(20.0 - 0.3 * i as f64).unwrap() };
        TemperatureCurve::new((0..readings).map(knot).collect()).unwrap()
    }

    fn new(pours: &[RealPour], bench: &TemperatureCurve) -> Followed {
        let around = Surroundings::ON_THE_BENCH;
        Followed::new(Hollow::slab(Millimetres::new(40.0).unwrap()), around, Vec::new(), pours, bench.clone())
    }

    fn gel_h(followed: &Followed) -> Vec<f64> {
        followed.layers().iter().map(|layer| layer.stage_h(Stage::Gel).unwrap()).collect()
    }

    #[test]
    fn going_on_is_the_same_as_beginning_anew() {
        let profile = Catalogue::embedded().find("clear-polyester").unwrap().profile.clone();
        let material = Arc::new(MaterialHeat::of(&profile).unwrap());
        let pours = [pour(0, 0.0, &material), pour(1, 1.2, &material), pour(2, 2.6, &material)];
        let first = new(&pours[..2], &night(4));
        let grown = first.again(&pours, night(7)).expect("nothing changed before the second pour");
        let anew = new(&pours, &night(7));
        assert_eq!(grown.layers().len(), 3);
        for (grown, anew) in gel_h(&grown).iter().zip(gel_h(&anew)) {
            assert!((grown - anew).abs() < 0.002, "{grown} {anew}");
        }
        assert_eq!(grown.again(&pours, night(7)).unwrap().layers(), grown.layers());
    }

    #[test]
    fn what_changed_before_the_newest_pour_is_followed_from_the_start() {
        let profile = Catalogue::embedded().find("clear-polyester").unwrap().profile.clone();
        let material = Arc::new(MaterialHeat::of(&profile).unwrap());
        let pours = [pour(0, 0.0, &material), pour(1, 1.2, &material)];
        let followed = new(&pours, &night(4));
        let elsewhere = TemperatureCurve::constant(Celsius::new(24.0).unwrap());
        assert!(followed.again(&pours, elsewhere).is_none());
        assert!(followed.again(&pours, night(2)).is_none(), "measured until half an hour before the newest pour");
        assert!(followed.again(&[pour(0, 0.1, &material), pours[1].clone()], night(4)).is_none());
    }
}

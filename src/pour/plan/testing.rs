//! Invented pieces for the tests of this room.

use super::{Conditions, Plan, Progress, Warning, WarningCode, plan};
use crate::material::{Catalogue, Cure, Figure, MaterialId, Profile, Provenance};
use crate::pour::{
    Division, DropBottle, Fixing, Item, LayerWishes, Piece, Prices, Scales, Shape, Solid, Supplies, Tint, TintKind,
    Vessel,
};
use crate::text::PlainText;
use crate::units::{Celsius, CupLoss, Grams, GramsPerMl, Level, Millilitres, Millimetres, Percent, PricePerKg};

pub(super) fn mm(value: f64) -> Millimetres {
    Millimetres::new(value).unwrap()
}

pub(super) fn level(value: f64) -> Level {
    Level::new(value).unwrap()
}

pub(super) fn grams(value: f64) -> Grams {
    Grams::new(value).unwrap()
}

pub(super) fn percent(value: f64) -> Percent {
    Percent::new(value).unwrap()
}

pub(super) fn celsius(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

pub(super) fn price(value: f64) -> Option<PricePerKg> {
    PricePerKg::new(value).ok()
}

pub(super) fn label<T>(value: T) -> Figure<T> {
    Figure { value, from: Provenance::Label }
}

/// The embedded profile of this name.
pub(super) fn profile(id: &str) -> Profile {
    Catalogue::embedded().find(id).unwrap().profile.clone()
}

/// Clear polyester of whose heat nothing is known: what is dosed by the rule alone.
pub(super) fn polyester() -> Profile {
    let mut polyester = hot_polyester();
    if let Cure::Thermal(cure) = &mut polyester.cure {
        cure.heat = None;
    }
    polyester
}

pub(super) fn hot_polyester() -> Profile {
    profile("clear-polyester")
}

/// A box of 100 by 100 mm inside, 70 mm high, filled to 60 mm: 10 mL a millimetre. Nothing in it, nothing lost.
pub(super) fn block() -> Piece {
    let shape = Shape::Box { length: mm(100.0), width: mm(100.0), height: mm(70.0) };
    Piece {
        name: PlainText::new("test block"),
        material: MaterialId::new("clear-polyester").unwrap(),
        vessel: Vessel::stack([shape]).unwrap(),
        walls: None,
        fill: level(60.0),
        items: Vec::new(),
        layers: LayerWishes {
            min: None,
            max: None,
            division: Division::Fewest,
            levels: Vec::new(),
            cold_after: Vec::new(),
            topping: false,
            next_layer_after: None,
        },
        tint: None,
        supplies: Supplies {
            resin_on_hand: None,
            reserve: percent(0.0),
            cup_loss: CupLoss::new(0.0).unwrap(),
            bottle: None,
            prices: Prices { currency: PlainText::new("pounds"), resin: None, catalyst: None, tint: None },
        },
        scales: Scales { resin: grams(0.1), catalyst: grams(0.01) },
        bench: None,
        touching: Vec::new(),
    }
}

/// A loose shell of 20 mL and 10 mm, laid onto the layer that ends at `from_mm`.
pub(super) fn shell(from_mm: f64) -> Item {
    Item {
        name: PlainText::new("shell"),
        count: 1,
        solid: Solid::Even { volume: Millilitres::new(20.0).unwrap(), height: mm(10.0) },
        from: level(from_mm),
        bedded: true,
        fixing: Fixing::Loose,
        density: GramsPerMl::new(2.6).ok(),
        specific_heat: None,
        heat_limit: None,
        porous: false,
    }
}

/// An invented blue-green dye at `loading` per cent.
pub(super) fn dye(loading: f64) -> Tint {
    Tint {
        name: PlainText::new("blue-green dye"),
        kind: TintKind::Dye,
        loading: percent(loading),
        max: None,
        test_cup: None,
    }
}

/// With cup loss `g`.
pub(super) fn losing(mut piece: Piece, g: f64) -> Piece {
    piece.supplies.cup_loss = CupLoss::new(g).unwrap();
    piece
}

/// With an invented dropper bottle of catalyst: 100 drops weigh 2.9 g.
pub(super) fn dropping(mut piece: Piece) -> Piece {
    piece.supplies.bottle = Some(DropBottle { drops: 100, weighed: grams(2.9) });
    piece
}

pub(super) fn cut(piece: Piece, division: Division) -> Piece {
    Piece { layers: LayerWishes { division, ..piece.layers.clone() }, ..piece }
}

/// The plan of a piece nothing of which is poured, at the reference temperature.
pub(super) fn fresh(piece: &Piece, profile: &Profile) -> Plan {
    plan(piece, profile, &at(None))
}

pub(super) fn at(bench: Option<f64>) -> Conditions {
    Conditions { bench: bench.map(celsius), progress: Progress::default() }
}

/// After `poured` layers, the resin standing at `level_mm`.
pub(super) fn after(poured: u32, level_mm: f64) -> Conditions {
    let progress = Progress {
        poured,
        level_mm,
        measured: false,
        last_from_mm: None,
        warm_layers: poured,
        laid: Vec::new(),
        settled: None,
        topped: false,
        used_g: 0.0,
        poured_g: 0.0,
    };
    Conditions { bench: None, progress }
}

pub(super) fn tops(plan: &Plan) -> Vec<f64> {
    plan.layers.iter().map(|layer| layer.cast.to_mm).collect()
}

pub(super) fn warnings(plan: &Plan, code: WarningCode) -> Vec<&Warning> {
    plan.warnings.iter().filter(|warning| warning.code == code).collect()
}

/// The text of the one warning of this kind.
#[track_caller]
pub(super) fn warning(plan: &Plan, code: WarningCode) -> &str {
    let [warning] = warnings(plan, code)[..] else { panic!("{:?}", plan.warnings) };
    warning.text.as_str()
}

#[track_caller]
pub(super) fn close(got: f64, want: f64) {
    assert!((got - want).abs() <= 1e-9 * want.abs().max(1.0), "got {got}, want {want}");
}

#[track_caller]
pub(super) fn all_close(got: &[f64], want: &[f64]) {
    assert_eq!(got.len(), want.len(), "{got:?} {want:?}");
    got.iter().zip(want).for_each(|(got, want)| close(*got, *want));
}

//! One thing being made: vessel, embedded items, layers, tint.

use super::item::Item;
use super::vessel::Vessel;
use crate::heat::WallMaterial;
use crate::material::MaterialId;
use crate::text::PlainText;
use crate::units::{Celsius, CupLoss, Grams, Hours, Level, Millimetres, Percent, PricePerKg};

/// A piece, checked: its items lie in its vessel, below its fill, and its layers can be cut out of it.
#[derive(Debug, Clone)]
pub struct Piece {
    pub name: PlainText,
    pub material: MaterialId,
    pub vessel: Vessel,
    /// What the vessel is made of, where the piece says it.
    pub walls: Option<Walls>,
    /// The level the casting is to reach.
    pub fill: Level,
    pub items: Vec<Item>,
    pub layers: LayerWishes,
    pub tint: Option<Tint>,
    pub supplies: Supplies,
    pub scales: Scales,
    /// The bench temperature to plan for.
    pub bench: Option<Celsius>,
    /// What touches the resin and is tried on scrap first: paint, adhesive, putty.
    pub touching: Vec<PlainText>,
}

/// What a vessel is made of and how thick it is, the same for all its sections.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Walls {
    pub material: WallMaterial,
    pub side: Millimetres,
    pub base: Millimetres,
}

/// How the fill is cut into layers.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerWishes {
    /// Instead of the profile's.
    pub min: Option<Millimetres>,
    pub max: Option<Millimetres>,
    pub division: Division,
    /// Levels that have to be a boundary between layers, besides those of bedded items.
    pub levels: Vec<Level>,
    /// Layers after which the casting sets cold before the next one, a night in between.
    pub cold_after: Vec<u32>,
    /// Whether a last thin layer makes good what the cure shrinks.
    pub topping: bool,
    /// How soon after a layer the next one should be able to follow.
    pub next_layer_after: Option<Hours>,
}

/// How many layers, or how deep.
#[derive(Debug, Clone, PartialEq)]
pub enum Division {
    /// As few as the deepest layer allows, equal between the levels that are given.
    Fewest,
    /// This many.
    Count(u32),
    /// These, from the floor up; they make up the whole fill.
    Depths(Vec<Millimetres>),
}

/// What the colour is made with; decides how much of it a resin usually takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TintKind {
    Dye,
    Paste,
    Powder,
}

/// The tint of the whole piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Tint {
    pub name: PlainText,
    pub kind: TintKind,
    /// Of the resin, by mass.
    pub loading: Percent,
    /// The most its label allows.
    pub max: Option<Percent>,
    pub test_cup: Option<TestCup>,
}

/// Light seen through a known depth of tinted resin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TestCup {
    pub depth: Millimetres,
    /// Light that comes through, percent of what comes through the same cup of clear resin; above 0.
    pub light: Percent,
    /// The cup's own loading.
    pub loading: Percent,
}

/// A dropper bottle that was calibrated by weighing drops.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DropBottle {
    pub drops: u32,
    pub weighed: Grams,
}

/// What is at hand, what is lost, and what it costs.
#[derive(Debug, Clone, PartialEq)]
pub struct Supplies {
    /// Resin there is; of a two-part system both parts together.
    pub resin_on_hand: Option<Grams>,
    /// More of everything than the layers need.
    pub reserve: Percent,
    /// What stays in each cup and on its stick.
    pub cup_loss: CupLoss,
    pub bottle: Option<DropBottle>,
    pub prices: Prices,
}

/// Prices in the money called `currency`; of a two-part system `resin` is of both parts together.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Prices {
    pub currency: PlainText,
    pub resin: Option<PricePerKg>,
    pub catalyst: Option<PricePerKg>,
    pub tint: Option<PricePerKg>,
}

/// The last digit of the scales.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scales {
    pub resin: Grams,
    /// The one the catalyst, or part B, is weighed on.
    pub catalyst: Grams,
}

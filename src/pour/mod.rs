//! From vessel to weigh-outs: how many layers, how deep, how much of everything, in what order, at what cost.
//!
//! A [`Piece`] says what is to be cast, in what, around what; [`read_piece`] reads it from a file. [`plan`] works out the
//! layers, the weights, the master batch and the order of work. Lengths inside the room are millimetres above the inside
//! of the vessel's floor, volumes are millilitres; 1 mL is 1000 mm³.

mod heat;
mod hollow;
mod item;
mod mesh;
mod monotone;
mod piece;
mod plan;
mod read;
mod space;
mod vessel;

pub use heat::{
    Followed, ItemHeat, OVERNIGHT_H, PieceHeat, PlainStage, PouredLayer, RealPour, Waited, heat_of, heat_of_layer,
};
pub use hollow::{hollow, item_watches, surroundings};
pub use item::{Fixing, Item, Solid};
pub use mesh::{Mesh, MeshFault};
pub use monotone::{Monotone, NotRising};
pub use piece::{Division, DropBottle, LayerWishes, Piece, Prices, Scales, Supplies, TestCup, Tint, TintKind, Walls};
pub use plan::{
    BadStep, Cast, Chosen, Conditions, CupParts, DoseOption, Laid, LayerKind, LayerOptions, LayerPlan, MasterBatch,
    Opacity, Plan, Progress, Short, Step, StepId, Totals, Warning, WarningCode, cups, options, plan, topping_from_mm,
    usual_bench,
};
pub use read::{LoadMesh, MeshAsk, Sources, read_piece};
pub use space::Space;
pub use vessel::{Section, Shape, ShapeFault, Vessel};

/// A millilitre in cubic millimetres.
const MM3_A_ML: f64 = 1000.0;

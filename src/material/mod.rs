//! Material profiles: what is known of each material, where it comes from, and how a profile file is read.

mod catalogue;
mod clock;
mod heat;
mod mixing;
mod profile;
mod read;
mod stage;
mod weigh;

pub use catalogue::{Catalogue, Fingerprint, Item, Origin, UnknownMaterial, fingerprint};
pub use heat::{ConversionStop, HeatFigures};
pub use mixing::{DepthDose, DoseRule, Equivalents, Mixing, Ratio, WarmStack};
pub use profile::{
    AfterClosing, BadMaterialId, Cure, Figure, Limits, MaterialId, Profile, Provenance, ReferenceAmount, StageTime,
    ThermalCure,
};
pub use read::read_profile;
pub use stage::{Stage, UnknownStage};
pub use weigh::Weights;

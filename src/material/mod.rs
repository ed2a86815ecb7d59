//! Material profiles: what is known of each material, where it comes from, and how a profile file is read.

mod catalogue;
mod clock;
mod heat;
mod learned;
mod mixing;
mod profile;
mod read;
mod rewrite;
mod stage;
mod weigh;

pub use catalogue::{Catalogue, Fingerprint, Item, Origin, UnknownMaterial, fingerprint};
pub use heat::{ConversionStop, HeatFigures};
pub use learned::{CupWas, Learned, LearnedStage};
pub use mixing::{DepthDose, DoseRule, Equivalents, Mixing, Ratio, WarmStack};
pub use profile::{
    AfterClosing, BadMaterialId, Cure, Figure, Limits, MaterialId, Profile, Provenance, ReferenceAmount, StageTime,
    ThermalCure,
};
pub use read::read_profile;
pub use rewrite::{Changes, NoRewrite, StageChange, rewrite};
pub use stage::{Stage, UnknownStage};
pub use weigh::Weights;

//! Material profiles: what is known of each material, where it comes from, and how a profile file is read.

mod profile;
mod stage;

pub use profile::{
    AfterClosing, BadMaterialId, Cure, Figure, Limits, MaterialId, Mixing, Profile, Provenance, Ratio, ReferenceAmount,
    StageTime, ThermalCure,
};
pub use stage::{Stage, UnknownStage};

//! The stages a batch goes through, in the trade's words.

use serde::{Deserialize, Serialize};
use std::{fmt, str::FromStr};

/// A stage of setting. The order is the order in which the screen lists them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// End of the time the mixed batch stays usable in its cup (ISO 9514, ISO 10364).
    PotLife,
    /// Loss of flow, counted from first mixing (ASTM D2471, ISO 2535).
    Gel,
    /// Touch leaves nothing on the finger (a drying stage of ASTM D1640 and D5895).
    TackFree,
    /// The next layer may be poured from here.
    NextLayerOpens,
    /// The next layer no longer bonds by itself after this.
    NextLayerCloses,
    /// May leave the mould.
    Demould,
    /// Nothing more to wait for.
    FullCure,
}

impl Stage {
    pub const ALL: [Stage; 7] = [
        Stage::PotLife,
        Stage::Gel,
        Stage::TackFree,
        Stage::NextLayerOpens,
        Stage::NextLayerCloses,
        Stage::Demould,
        Stage::FullCure,
    ];

    /// The name in files, commands and JSON.
    pub const fn key(self) -> &'static str {
        match self {
            Stage::PotLife => "pot-life",
            Stage::Gel => "gel",
            Stage::TackFree => "tack-free",
            Stage::NextLayerOpens => "next-layer-opens",
            Stage::NextLayerCloses => "next-layer-closes",
            Stage::Demould => "demould",
            Stage::FullCure => "full-cure",
        }
    }

    /// The name on the screen.
    pub const fn words(self) -> &'static str {
        match self {
            Stage::PotLife => "pot life ends",
            Stage::Gel => "gel",
            Stage::TackFree => "tack-free",
            Stage::NextLayerOpens => "next layer opens",
            Stage::NextLayerCloses => "next layer closes",
            Stage::Demould => "demould",
            Stage::FullCure => "full cure",
        }
    }

    /// Whether reaching `self` proves that `earlier` was reached before it: a demoulded piece has gelled.
    pub fn implies(self, earlier: Stage) -> bool {
        let chain = |stage| match stage {
            Stage::PotLife => Some(0),
            Stage::Gel => Some(1),
            Stage::TackFree => Some(2),
            Stage::Demould => Some(3),
            Stage::FullCure => Some(4),
            Stage::NextLayerOpens | Stage::NextLayerCloses => None,
        };
        match (self, earlier) {
            (Stage::NextLayerCloses, Stage::NextLayerOpens)
            | (Stage::NextLayerOpens | Stage::NextLayerCloses, Stage::PotLife)
            | (Stage::FullCure, Stage::NextLayerOpens | Stage::NextLayerCloses) => true,
            // Tack-free comes after gel, but air-inhibited surfaces stay tacky on a hard body: demould says nothing of it.
            (Stage::Demould, Stage::TackFree) => false,
            _ => matches!((chain(self), chain(earlier)), (Some(a), Some(b)) if a > b),
        }
    }

    /// Whether the stage ends a chance (so the early edge of its band matters) rather than beginning one.
    pub const fn is_deadline(self) -> bool {
        matches!(self, Stage::PotLife | Stage::NextLayerCloses)
    }

    /// Whether the stage opens or closes the window in which the next layer is poured.
    pub const fn is_next_layer(self) -> bool {
        matches!(self, Stage::NextLayerOpens | Stage::NextLayerCloses)
    }
}

impl fmt::Display for Stage {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.key())
    }
}

/// The text is no stage.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{given}' is no stage; write one of: {}", Stage::ALL.map(Stage::key).join(", "))]
pub struct UnknownStage {
    given: String,
}

impl FromStr for Stage {
    type Err = UnknownStage;

    fn from_str(s: &str) -> Result<Self, UnknownStage> {
        let folded = s.trim().to_lowercase().replace(['_', ' '], "-");
        Stage::ALL
            .into_iter()
            .find(|stage| stage.key() == folded)
            .ok_or_else(|| UnknownStage { given: crate::text::printable(s) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stage_reads_back_from_its_own_name() {
        for stage in Stage::ALL {
            assert_eq!(stage.key().parse(), Ok(stage));
        }
        assert_eq!("Tack_free".parse(), Ok(Stage::TackFree));
        assert!("kicked".parse::<Stage>().unwrap_err().to_string().contains("pot-life, gel"));
    }

    #[test]
    fn only_real_order_is_implied() {
        assert!(Stage::Demould.implies(Stage::Gel));
        assert!(!Stage::Demould.implies(Stage::TackFree));
        assert!(!Stage::NextLayerOpens.implies(Stage::Gel), "some coats are recoated wet");
        assert!(!Stage::Gel.implies(Stage::Gel));
    }
}

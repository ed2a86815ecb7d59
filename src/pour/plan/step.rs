//! The names of the steps, as they are ticked, written and read back.

use crate::text::PlainText;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

/// A step of the order of work, as it is ticked; written as a word, `pour-4`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum StepId {
    DryFit,
    Seal,
    WaterTest10,
    WaterTest30,
    WaterTest120,
    Dry,
    TrialCup,
    Scrap,
    Tint,
    Divide,
    /// Before this layer its items are laid in.
    Bed(u32),
    Pour(u32),
    Cover,
}

/// The text names no step.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' is no step; steps are named like 'dry-fit', 'water-test-30' or 'pour-4'")]
pub struct BadStep(PlainText);

const PLAIN: [(&str, StepId); 11] = [
    ("dry-fit", StepId::DryFit),
    ("seal", StepId::Seal),
    ("water-test-10", StepId::WaterTest10),
    ("water-test-30", StepId::WaterTest30),
    ("water-test-120", StepId::WaterTest120),
    ("dry", StepId::Dry),
    ("trial-cup", StepId::TrialCup),
    ("scrap", StepId::Scrap),
    ("tint", StepId::Tint),
    ("divide", StepId::Divide),
    ("cover", StepId::Cover),
];

impl fmt::Display for StepId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            StepId::Bed(layer) => write!(f, "bed-{layer}"),
            StepId::Pour(layer) => write!(f, "pour-{layer}"),
            plain => f.pad(PLAIN.iter().find(|(_, id)| id == plain).map_or("", |(word, _)| word)),
        }
    }
}

impl FromStr for StepId {
    type Err = BadStep;
    fn from_str(text: &str) -> Result<Self, BadStep> {
        let word = text.trim().to_lowercase();
        let numbered = |stem: &str| word.strip_prefix(stem)?.parse().ok().filter(|layer| *layer > 0);
        PLAIN
            .iter()
            .find(|(name, _)| *name == word)
            .map(|(_, id)| *id)
            .or_else(|| numbered("bed-").map(StepId::Bed))
            .or_else(|| numbered("pour-").map(StepId::Pour))
            .ok_or_else(|| BadStep(PlainText::new(text)))
    }
}

impl TryFrom<String> for StepId {
    type Error = BadStep;
    fn try_from(text: String) -> Result<Self, BadStep> {
        text.parse()
    }
}

impl From<StepId> for String {
    fn from(id: StepId) -> String {
        id.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_step_reads_back_as_itself() {
        let all = PLAIN.iter().map(|(_, id)| *id).chain([StepId::Bed(3), StepId::Pour(12)]);
        for id in all {
            assert_eq!(id.to_string().parse(), Ok(id));
        }
        assert!("pour-0".parse::<StepId>().is_err() && "pour".parse::<StepId>().is_err());
    }
}

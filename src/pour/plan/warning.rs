//! What is odd about a piece, and what to do about it.

use crate::text::PlainText;
use std::fmt;

/// What a warning is about; its word is stable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum WarningCode {
    /// Something in the piece file that is odd and can be meant.
    PieceFile,
    ScaleTooCoarse,
    BatchTooSmall,
    BatchTooLarge,
    LayerTooThin,
    LayerTooDeep,
    LayerTooHot,
    ItemTooHot,
    DoseAtLimit,
    /// The next layer cannot follow when the piece asks for it.
    NextLayerMissed,
    ItemFloats,
    BedPassed,
    TintTooStrong,
    ResinShort,
    SecondTint,
    BenchTooCold,
    BenchTooWarm,
    Shrinkage,
    Brim,
    DropsUncertain,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Warning {
    pub code: WarningCode,
    pub layer: Option<u32>,
    pub text: PlainText,
}

impl WarningCode {
    /// The word in JSON.
    pub const fn word(self) -> &'static str {
        match self {
            WarningCode::PieceFile => "piece-file",
            WarningCode::ScaleTooCoarse => "scale-too-coarse",
            WarningCode::BatchTooSmall => "batch-too-small",
            WarningCode::BatchTooLarge => "batch-too-large",
            WarningCode::LayerTooThin => "layer-too-thin",
            WarningCode::LayerTooDeep => "layer-too-deep",
            WarningCode::LayerTooHot => "layer-too-hot",
            WarningCode::ItemTooHot => "item-too-hot",
            WarningCode::DoseAtLimit => "dose-at-limit",
            WarningCode::NextLayerMissed => "next-layer-missed",
            WarningCode::ItemFloats => "item-floats",
            WarningCode::BedPassed => "bed-passed",
            WarningCode::TintTooStrong => "tint-too-strong",
            WarningCode::ResinShort => "resin-short",
            WarningCode::SecondTint => "second-tint",
            WarningCode::BenchTooCold => "bench-too-cold",
            WarningCode::BenchTooWarm => "bench-too-warm",
            WarningCode::Shrinkage => "shrinkage",
            WarningCode::Brim => "brim",
            WarningCode::DropsUncertain => "drops-uncertain",
        }
    }
}

impl fmt::Display for WarningCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(self.word())
    }
}

impl Warning {
    /// About the whole piece.
    pub fn of_piece(code: WarningCode, text: &str) -> Self {
        Self { code, layer: None, text: PlainText::new(text) }
    }

    /// About one layer.
    pub(super) fn of_layer(code: WarningCode, layer: u32, text: &str) -> Self {
        Self { code, layer: Some(layer), text: PlainText::new(text) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_word_is_the_name_with_hyphens() {
        use WarningCode as W;
        let all = [
            W::ScaleTooCoarse,
            W::BatchTooSmall,
            W::BatchTooLarge,
            W::LayerTooThin,
            W::LayerTooDeep,
            W::LayerTooHot,
            W::ItemTooHot,
            W::DoseAtLimit,
            W::NextLayerMissed,
            W::ItemFloats,
            W::PieceFile,
            W::BedPassed,
            W::TintTooStrong,
            W::ResinShort,
            W::SecondTint,
            W::BenchTooCold,
            W::BenchTooWarm,
            W::Shrinkage,
            W::Brim,
            W::DropsUncertain,
        ];
        for code in all {
            let name = format!("{code:?}");
            let hyphenated: String = name
                .chars()
                .enumerate()
                .flat_map(|(at, c)| [(at > 0 && c.is_uppercase()).then_some('-'), Some(c.to_ascii_lowercase())])
                .flatten()
                .collect();
            assert_eq!(code.word(), hyphenated);
        }
    }
}

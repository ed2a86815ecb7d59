//! What to put on the scale: grams of each part for a wanted amount of resin.

use super::mixing::Mixing;
use super::profile::Profile;
use crate::units::{DosePercent, Grams, UnitError};

/// The weights of one cup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Weights {
    /// Resin and catalyst.
    Catalysed { resin: Grams, catalyst: Grams },
    /// Part A and part B of a fixed ratio.
    TwoPart { a: Grams, b: Grams },
    /// Nothing is mixed.
    OnePart { amount: Grams },
}

impl Profile {
    /// All the resin of a batch, where `resin_g` is what the batch calls so: of a two-part system part A alone, to which
    /// part B comes on top.
    pub fn all_resin_g(&self, resin_g: f64) -> f64 {
        match &self.mixing {
            Mixing::TwoPart { by_weight, .. } => resin_g * (1.0 + by_weight.value.b / by_weight.value.a),
            Mixing::Catalysed { .. } | Mixing::OnePart => resin_g,
        }
    }

    /// The weights for `resin` grams of resin (part A of a two-part system), at `dose` or else the usual one.
    ///
    /// Fails only where a weight leaves what a scale can show.
    pub fn weights(&self, resin: Grams, dose: Option<DosePercent>) -> Result<Weights, UnitError> {
        Ok(match &self.mixing {
            Mixing::Catalysed { usual, .. } => {
                let dose = dose.unwrap_or(usual.value);
                Weights::Catalysed { resin, catalyst: Grams::new(resin.get() * dose.get() / 100.0)? }
            }
            Mixing::TwoPart { by_weight, .. } => {
                Weights::TwoPart { a: resin, b: Grams::new(resin.get() * by_weight.value.b / by_weight.value.a)? }
            }
            Mixing::OnePart => Weights::OnePart { amount: resin },
        })
    }
}

impl std::fmt::Display for Weights {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Weights::Catalysed { resin, catalyst } => write!(f, "resin {resin:.1} + catalyst {catalyst:.2}"),
            Weights::TwoPart { a, b } => write!(f, "A {a:.1} + B {b:.1}"),
            Weights::OnePart { amount } => write!(f, "{amount:.1}"),
        }
    }
}

//! Learning: what a shop's own observations say of its materials. A censored log-normal model over the real temperature
//! curves, fitted by its exact likelihood.

mod backtest;
mod datum;
mod exposure;
mod fit;
mod gather;
mod insight;
mod likelihood;
mod look;
mod newton;
mod normal;
mod picture;
mod plain;
mod predict;
mod prior;
mod refine;
mod shape;
mod shop;
mod shop_fit;
#[cfg(test)]
mod tests;
mod trial;

pub use backtest::{Foretold, Score, Tested, backtest};
pub use fit::Undetermined;
pub use gather::{Gathered, Logged, LookFrom, SetAside, Why, gather};
pub use insight::Insight;
pub use look::{Look, TellsNothing};
pub use picture::{Mark, Picture, Point};
pub use plain::{Estimate, NoFit, PlainAsk, PlainFit, PlainLook, RuleForm, StageName, fit_plain};
pub use predict::{Prediction, Setting};
pub use refine::{NothingLearned, Refinement};
pub use shop::{DoseTerm, RuleTerm, ShopModel, StageTerm};
pub use shop_fit::{Missing, ShopFit, Verdict};
pub use trial::{Trial, TrialRange};

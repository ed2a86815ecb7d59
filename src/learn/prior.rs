//! What common practice says before a shop has logged anything: weak, so that a few looks outweigh it. All figures are our
//! own working values, made from the ranges that the trade reports.

/// How far the coefficient of a temperature rule may be off, as a share of it.
pub(super) use crate::cure::RULE_SHARE;
/// Dose exponent: 0.4 to 1.2 is plausible.
pub(super) const EXPONENT: f64 = 0.9;
pub(super) const EXPONENT_SD: f64 = 0.3;
/// Spread of ln(time) of one shop's batches where nothing is known, and how far ln of it may be off.
pub(super) const SPREAD: f64 = 0.3;
pub(super) const SPREAD_SD: f64 = 0.5;
/// How far a shop as a whole may be off the label, ln of time: a factor of two either way is one standard deviation.
pub(super) const SHOP_SD: f64 = 0.7;
/// How far a stage may be off beside its shop.
pub(super) const STAGE_SD: f64 = 0.25;
/// The share of a label's spread that comes back from batch to batch; the rest is that the label does not know the shop.
pub(super) const BATCH_SHARE: f64 = 0.55;

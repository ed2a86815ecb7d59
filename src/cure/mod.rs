//! The cure model: temperature rule, cure age along a temperature curve, and stage times with their bands.

mod age;
mod band;
mod curve;
mod doubt;
mod outlook;
mod rate;
mod segment;
mod stage_time;

pub use age::AgeCurve;
pub use band::{Band, Quantile, log_sd, normal_quantile, normal_share, spread_factor};
pub use curve::{CurveError, Knot, TemperatureCurve};
pub use doubt::{Doubt, NoDoubt, RULE_SHARE};
pub use outlook::{Outlook, RoomSpread};
pub use rate::{CureRule, GAS_CONSTANT_KJ, RateLaw};
pub use stage_time::{StageDoubt, StageLaw, StageModel, dose_factor, dose_for_rate, dose_strength};

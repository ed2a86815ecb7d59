mod rate;
pub use rate::{CureRule, GAS_CONSTANT_KJ, RateLaw};

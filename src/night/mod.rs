//! The night: when to pour each layer that is left, so that people can sleep.
//!
//! [`Planner`] lays a grid of times over the days ahead. On it every layer has its windows, worked out from the cure model along
//! the forecast for each dose that stays cool ([`PourOptions`]), not as points but by their chances; [`solve`] finds the cheapest
//! way through. What it finds is poured into the heat model as it stands, and planned again where that gets too hot.

mod answer;
mod ask;
mod heat;
mod laws;
mod outcome;
mod planner;
mod quantiles;
mod replay;
mod rest;
pub mod solve;
#[cfg(test)]
mod tests;
mod timeline;
mod what_if;
mod windows;
mod written;

pub use answer::{Alternative, AlternativeKind, Difference, Night, NowOrMorning, Verdict, WARMER_C, night};
pub use ask::{
    Below, BenchAhead, FACTORS, NightAsk, NightRules, PourOptions, USUAL_POURING, USUAL_PREPARE, USUAL_RISK,
};
pub use outcome::{Finish, NightPlan, NightPour, NoNight, PourWindow};
pub use planner::Planner;
pub use quantiles::{CHANCES, Quantiles};
pub use replay::{DosesForWaking, doses_for_waking};
pub use rest::{Appointment, Days, Hours, Rest, Span, When};
pub use solve::MOST_LAYERS;
pub use timeline::on_the_grid;
pub use what_if::{WhatIf, WhatIfCase, what_if};
pub use written::BadHours;

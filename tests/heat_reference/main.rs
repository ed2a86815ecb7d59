//! The heat of cure against figures from outside the project. The source stands beside each check.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod balance;
mod calibration;
mod conduction;
mod ignition;
mod kinetics;
mod order;
#[path = "../support/reacting_resin.rs"]
mod reacting_resin;
mod reacting_slab;
mod support;
mod trade;

//! The fit against figures from outside the project, each with its source.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod open_data;
mod published;
mod support;
mod synthetic;

//! The channels an alarm goes out on. Each may fail; none may hold up the screen or another channel.

mod channels;
mod command;
mod desktop;
mod health;
mod message;
mod mqtt;
mod post;
mod sound;
pub mod terminal;
#[cfg(test)]
pub(crate) mod testing;
mod trial;
mod waiting;
mod worker;

pub use channels::{ChannelEvent, Channels, Outgoing};
pub use desktop::{DesktopChannel, DesktopEvent, Health};
pub use health::{Channel, ChannelHealth, Doing};
pub use trial::trial;

use channels::Tell;

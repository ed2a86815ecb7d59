//! The channels an alarm goes out on. Each may fail; none may hold up the screen or another channel.

mod desktop;
pub mod terminal;

pub use desktop::{DesktopChannel, DesktopEvent, Health};

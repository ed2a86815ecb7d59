//! The bench screen: loop, terminal, keys, panes and forms.

mod forms;
mod input;
mod keys;
mod layout;
mod nights;
mod panes;
mod picture;
mod run;
mod screen;
#[cfg(test)]
mod snapshots;
mod terminal;
mod theme;
mod ui;

pub use run::{Options, ScreenError, run};
pub use theme::Palette;

//! What is to be solved: layers, slots, and which slots each pour opens to the next.

use super::key::{MOST_LAYERS, MOST_MINUTES, MOST_PRICE};
use serde::Deserialize;
use std::sync::Arc;

/// A place on the grid of times, from 0.
pub type Slot = u16;
/// Beyond every grid.
pub const NEVER: Slot = Slot::MAX;

/// Levels of the risk that a window is not open yet.
pub const EARLY: usize = 4;
/// Levels of the risk that it has closed.
pub const LATE: usize = 4;

/// Risks in thousandths, from the most that is taken down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub struct Levels {
    pub early: [u16; EARLY],
    pub late: [u16; LATE],
    /// Nobody is woken for what is not open with more than this.
    pub early_asleep: u16,
}

/// When the next layer may follow a pour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub struct Window {
    /// From which slot on the risk that it is not open yet is at most each level; rising.
    pub open: [Slot; EARLY],
    /// From which slot on the risk that it has closed is more than each level; falling.
    pub shut: [Slot; LATE],
    /// From here on the next layer may follow at the price of sanding, whatever has closed.
    pub sand: Slot,
}

impl Window {
    /// Open from 0 on, and never shut.
    pub const ALWAYS: Window = Window { open: [0; EARLY], shut: [NEVER; LATE], sand: NEVER };
}

/// What comes of a pour.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub struct After {
    /// When the layer itself is finished, minutes after slot 0: the whole is finished with the last that is.
    pub done_min: u32,
    /// When the next layer may follow; `None` for the last one.
    pub next: Option<Window>,
}

/// One dose a layer may be poured with.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Choice {
    /// Steps from the planned dose.
    pub away: u16,
    /// By the slot of the pour; `None`: not then.
    pub after: Arc<[Option<After>]>,
}

/// One layer.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Layer {
    /// What it may be poured with, by how many warm layers lie below: none, one, and so on, the last one for all above.
    pub beds: Vec<Vec<Choice>>,
}

/// What somebody's hands do in a slot.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Hands {
    Free,
    /// A pour then is a wake-up.
    Asleep,
    Busy,
}

/// What the first layer of those to come is poured on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub struct First {
    pub window: Window,
    /// Until this slot the layer below is warm, and then the bed is `warm_bed`.
    pub warm_until: Slot,
    pub warm_bed: usize,
}

/// Everything the search needs.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Problem {
    pub hands: Vec<Hands>,
    pub first: First,
    /// At least one; all with the same number of beds.
    pub layers: Vec<Layer>,
    /// A pour less than so many slots after the one below finds that warm.
    pub warm_slots: Slot,
    pub levels: Levels,
    /// What sanding costs, in hundredths of a wake-up; `None`: it is not done.
    pub sanding: Option<u16>,
}

impl Problem {
    pub fn slots(&self) -> usize {
        self.hands.len()
    }

    pub(super) fn beds(&self) -> usize {
        self.layers.first().map_or(0, |layer| layer.beds.len())
    }

    /// Whether its costs can be told apart, and its slots counted.
    pub fn fits(&self) -> bool {
        let minutes = |choice: &Choice| choice.after.iter().flatten().all(|after| after.done_min <= MOST_MINUTES);
        let choices = || self.layers.iter().flat_map(|layer| layer.beds.iter().flatten());
        self.slots() < usize::from(NEVER)
            && (1..=MOST_LAYERS).contains(&self.layers.len())
            && self.sanding.is_none_or(|price| price <= MOST_PRICE)
            && choices().all(|choice| choice.away <= 4 && choice.after.len() == self.slots() && minutes(choice))
            && self.layers.iter().all(|layer| layer.beds.len() == self.beds())
    }
}

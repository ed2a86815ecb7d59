//! What is left for resin: the vessel minus the items.

use super::item::Item;
use super::vessel::Vessel;
use crate::root::rising_root;
use std::ops::Range;

/// How exactly a level is found, in proportion to the vessel's height.
const LEVEL_TOLERANCE: f64 = 1e-13;

/// Into so many slabs an item is cut when it is held against the vessel.
const SLABS_AN_ITEM: u32 = 200;

/// An item may fill this much more than there is, in proportion to the whole vessel: rounding.
const ROUNDING: f64 = 1e-11;

/// A vessel with its items in place.
#[derive(Debug, Clone, Copy)]
pub struct Space<'p> {
    vessel: &'p Vessel,
    items: &'p [Item],
}

impl<'p> Space<'p> {
    pub fn new(vessel: &'p Vessel, items: &'p [Item]) -> Self {
        Self { vessel, items }
    }

    /// Room for resin below `level_mm`, which is taken into the range from floor to brim.
    pub fn volume_below_ml(&self, level_mm: f64) -> f64 {
        self.vessel.volume_below_ml(level_mm) - self.displaced_below_ml(level_mm)
    }

    /// Room for resin between two levels.
    pub fn volume_between_ml(&self, from_mm: f64, to_mm: f64) -> f64 {
        self.volume_below_ml(to_mm) - self.volume_below_ml(from_mm)
    }

    /// What the items displace below `level_mm`, which is taken into the range from floor to brim.
    pub fn displaced_below_ml(&self, level_mm: f64) -> f64 {
        let level_mm = level_mm.clamp(0.0, self.vessel.height_mm());
        self.items.iter().map(|item| item.displaced_below_ml(level_mm)).sum()
    }

    /// The level reached when `volume_ml` is poured in at `from_mm`; `None` when it would run over the brim. The items must
    /// leave room at every level, as [`Space::crowded_at`] finds out.
    pub fn level_after_mm(&self, from_mm: f64, volume_ml: f64) -> Option<f64> {
        let brim_mm = self.vessel.height_mm();
        let from_mm = from_mm.clamp(0.0, brim_mm);
        if volume_ml <= 0.0 {
            return Some(from_mm);
        }
        let wanted_ml = self.volume_below_ml(from_mm) + volume_ml;
        let mut low = from_mm;
        for high in self.breaks().into_iter().filter(|level| *level > from_mm) {
            if self.volume_below_ml(high) >= wanted_ml {
                return self.level_within(low..high, wanted_ml);
            }
            low = high;
        }
        // Over the brim by more than rounding, or not.
        self.vessel.level_of_mm(wanted_ml + self.displaced_below_ml(brim_mm))
    }

    /// The level within `range`, which has no break inside, below which there is room for `wanted_ml`.
    fn level_within(&self, range: Range<f64>, wanted_ml: f64) -> Option<f64> {
        if self.beside(&range).is_empty() {
            let level = self.vessel.level_of_mm(wanted_ml + self.displaced_below_ml(range.start))?;
            return Some(level.clamp(range.start, range.end));
        }
        let tolerance = self.vessel.height_mm() * LEVEL_TOLERANCE;
        Some(rising_root(range.start, range.end, tolerance, |level| self.volume_below_ml(level) - wanted_ml))
    }

    /// The lowest level at which the items fill more than the vessel is wide there, if any, and which item.
    ///
    /// Slab by slab, each at most a 200th of an item, what the items displace is held against what the vessel holds. The
    /// level is the lower end of the first slab in which it is more, the item the one that takes most of it.
    pub fn crowded_at(&self) -> Option<(f64, usize)> {
        self.breaks().windows(2).find_map(|pair| self.crowded_within(&(pair[0]..pair[1])))
    }

    fn crowded_within(&self, range: &Range<f64>) -> Option<(f64, usize)> {
        let beside = self.beside(range);
        let shortest_mm = beside.iter().map(|&item| self.items[item].solid.height_mm()).reduce(f64::min)?;
        let width_mm = range.end - range.start;
        let enough = |slabs: &u32| f64::from(*slabs) * shortest_mm >= f64::from(SLABS_AN_ITEM) * width_mm;
        let slabs = (1..SLABS_AN_ITEM).find(enough).unwrap_or(SLABS_AN_ITEM);
        let spare_ml = self.vessel.volume_below_ml(self.vessel.height_mm()) * ROUNDING;
        let mut low_mm = range.start;
        for slab in 1..=slabs {
            let high_mm = range.start + width_mm * (f64::from(slab) / f64::from(slabs));
            let takes_ml = |&item: &usize| adds_ml(&self.items[item], &(low_mm..high_mm));
            let room_ml = self.vessel.volume_below_ml(high_mm) - self.vessel.volume_below_ml(low_mm);
            let shares: Vec<f64> = beside.iter().map(takes_ml).collect();
            if shares.iter().sum::<f64>() > room_ml + spare_ml {
                let most = beside.iter().zip(&shares).max_by(|a, b| a.1.total_cmp(b.1))?;
                return Some((low_mm, *most.0));
            }
            low_mm = high_mm;
        }
        None
    }

    /// The items that displace something within `range`, by their place.
    fn beside(&self, range: &Range<f64>) -> Vec<usize> {
        (0..self.items.len()).filter(|&item| adds_ml(&self.items[item], range) > 0.0).collect()
    }

    /// Floor, brim, and the levels between them at which a section or an item begins or ends, rising.
    pub(super) fn breaks(&self) -> Vec<f64> {
        let brim_mm = self.vessel.height_mm();
        let sections = self.vessel.sections().iter().map(|section| section.from_mm);
        let items = self.items.iter().flat_map(|item| [item.from.get(), item.to_mm()]);
        let mut levels: Vec<f64> = sections.chain(items).filter(|level| (0.0..brim_mm).contains(level)).collect();
        levels.push(brim_mm);
        levels.sort_unstable_by(f64::total_cmp);
        levels.dedup();
        levels
    }
}

/// What `item` displaces within `range`.
fn adds_ml(item: &Item, range: &Range<f64>) -> f64 {
    item.displaced_below_ml(range.end) - item.displaced_below_ml(range.start)
}

#[cfg(test)]
mod tests;

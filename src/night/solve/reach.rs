//! Which slots a window reaches, and at what risk: stretches in which nothing changes.

use super::problem::{Levels, NEVER, Slot, Window};
use std::ops::Range;

/// Slots that are alike from one pour.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Stretch {
    pub slots: Range<Slot>,
    pub bed: usize,
    /// In thousandths: not open yet, or closed.
    pub risk: u16,
    /// Too unsure for somebody to be woken.
    pub awake_only: bool,
    pub sanded: bool,
}

/// How long what lies below stays warm, and what bed that makes.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bed {
    pub warm_until: Slot,
    pub warm: usize,
}

/// Calls `each` with every stretch of slots before `end`, sanded ones among them where that is `sanding`.
pub(super) fn stretches(
    window: &Window,
    levels: &Levels,
    bed: Bed,
    end: Slot,
    sanding: bool,
    mut each: impl FnMut(Stretch),
) {
    let mut at = window.open[0];
    let last = window.shut[0].min(end);
    while at < last {
        let early = window.open.iter().rposition(|open| *open <= at).unwrap_or(0);
        let late = window.shut.iter().rposition(|shut| *shut > at).unwrap_or(0);
        let not_open = if at >= surely(&window.open) { 0 } else { levels.early[early] };
        let closed = if window.shut[late] == NEVER { 0 } else { levels.late[late] };
        let next_open = window.open.get(early + 1).copied().unwrap_or(NEVER);
        let warm_end = if bed.warm_until > at { bed.warm_until } else { NEVER };
        let until = last.min(next_open).min(window.shut[late]).min(warm_end);
        each(Stretch {
            slots: at..until,
            bed: bed.at(at),
            risk: not_open + closed,
            awake_only: not_open > levels.early_asleep,
            sanded: false,
        });
        at = until;
    }
    if sanding {
        let middle = bed.warm_until.clamp(window.sand.min(end), end);
        for slots in [window.sand.min(end)..middle, middle..end] {
            if !slots.is_empty() {
                each(Stretch { bed: bed.at(slots.start), slots, risk: 0, awake_only: false, sanded: true });
            }
        }
    }
}

/// A window that is open from the first slot on is no risk.
fn surely(open: &[Slot]) -> Slot {
    if open.iter().all(|slot| *slot == 0) { 0 } else { NEVER }
}

impl Bed {
    fn at(self, slot: Slot) -> usize {
        if slot < self.warm_until { self.warm } else { 0 }
    }
}

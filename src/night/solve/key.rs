//! What a way costs, as one number that compares and adds like all its parts.

/// From the most to the least that matters: cost in hundredths of a wake-up, finish in minutes, risk in thousandths, steps away
/// from the planned doses. Parts do not run into each other: `Problem::fits` says how much each may hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key(u64);

const AWAY_BITS: u32 = 10;
const RISK_BITS: u32 = 17;
const FINISH_BITS: u32 = 17;
const RISK_AT: u32 = AWAY_BITS;
const FINISH_AT: u32 = RISK_AT + RISK_BITS;
const COST_AT: u32 = FINISH_AT + FINISH_BITS;

/// Layers a problem may have: 1024 / 4 steps away, 131 072 / 500 thousandths.
pub const MOST_LAYERS: usize = 200;
/// Ninety-one days.
pub const MOST_MINUTES: u32 = (1 << FINISH_BITS) - 1;
/// Ten wake-ups: 200 of them are 200 000 of 2¹⁹, wake-ups themselves 20 000.
pub(super) const MOST_PRICE: u16 = 1000;
/// A wake-up, as costs count.
pub(super) const WAKE_UP: u64 = 100;

impl Key {
    pub const NOTHING: Key = Key(0);
    pub const NEVER: Key = Key(u64::MAX);

    pub fn of_wakeups(count: usize) -> Self {
        Key((count as u64 * WAKE_UP) << COST_AT)
    }

    pub fn of_price(hundredths: u16) -> Self {
        Key(u64::from(hundredths) << COST_AT)
    }

    #[cfg(test)]
    pub fn of_finish(minutes: u32) -> Self {
        Self::NOTHING.not_before(minutes)
    }

    /// The same, finished with what is finished last.
    pub fn not_before(self, minutes: u32) -> Self {
        if self.is_never() {
            return self;
        }
        let later = u64::from(minutes).saturating_sub(self.finish());
        self.plus(Key(later << FINISH_AT))
    }

    /// Minutes.
    pub fn finish(self) -> u64 {
        self.0 >> FINISH_AT & u64::from(MOST_MINUTES)
    }

    pub fn of_risk(thousandths: u16) -> Self {
        Key(u64::from(thousandths) << RISK_AT)
    }

    pub fn of_away(steps: u16) -> Self {
        Key(u64::from(steps))
    }

    pub fn is_never(self) -> bool {
        self == Self::NEVER
    }

    pub fn plus(self, other: Self) -> Self {
        // What never comes stays so: a real key is far from the end.
        Key(self.0.saturating_add(other.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_compare_in_their_order_and_never_run_over() {
        let full = [
            Key::of_away(4).times(MOST_LAYERS),
            Key::of_risk(500).times(MOST_LAYERS),
            Key::of_finish(MOST_MINUTES),
            Key::of_price(MOST_PRICE).times(MOST_LAYERS).plus(Key::of_wakeups(MOST_LAYERS)),
        ];
        assert!(full[0] < Key::of_risk(1) && full[1] < Key::of_finish(1) && full[2] < Key::of_price(1));
        assert!(full.into_iter().fold(Key::NOTHING, Key::plus) < Key::NEVER);
        assert!(Key::NEVER.plus(full[3]).is_never());
    }

    impl Key {
        fn times(self, count: usize) -> Self {
            (0..count).fold(Self::NOTHING, |sum, _| sum.plus(self))
        }
    }
}

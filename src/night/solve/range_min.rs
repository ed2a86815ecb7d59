//! The least of a range, in two look-ups.

use super::key::Key;
use std::ops::Range;

/// A sparse table: row `p` has the least of every `2^p` neighbours.
#[derive(Debug)]
pub(super) struct RangeMin {
    rows: Vec<Vec<Key>>,
}

impl RangeMin {
    pub fn new(values: Vec<Key>) -> Self {
        let mut rows = vec![values];
        let mut half = 1;
        while let Some(below) = rows.last().filter(|below| below.len() > half) {
            let row = below.iter().zip(&below[half..]).map(|(a, b)| *a.min(b)).collect();
            rows.push(row);
            half *= 2;
        }
        Self { rows }
    }

    /// The least in `range`, which ends where the values do; never where it is empty.
    pub fn least(&self, range: Range<usize>) -> Key {
        let length = range.len();
        if length == 0 {
            return Key::NEVER;
        }
        let power = length.ilog2() as usize;
        let row = &self.rows[power];
        row[range.start].min(row[range.end - (1 << power)])
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_is_the_least(values in prop::collection::vec(0u32..50, 1..70), ends in any::<(u8, u8)>()) {
            let keys: Vec<Key> = values.iter().map(|v| Key::of_finish(*v)).collect();
            let (a, b) = (usize::from(ends.0) % (keys.len() + 1), usize::from(ends.1) % (keys.len() + 1));
            let range = a.min(b)..a.max(b);
            let want = keys[range.clone()].iter().copied().min().unwrap_or(Key::NEVER);
            prop_assert_eq!(RangeMin::new(keys).least(range), want);
        }
    }
}

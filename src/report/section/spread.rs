//! Labels that would lie on each other are moved apart, as little as possible.

/// Where a label would like to be, and how high it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::report) struct Label {
    pub middle: f64,
    pub height: f64,
}

/// Labels that lie close together and move as one.
struct Stack {
    /// How many.
    labels: usize,
    height: f64,
    /// The sum of where the top of the stack would have to be for each label to lie where it likes.
    wishes: f64,
    top: f64,
}

/// The middles of `labels`, which come from the top down, so that none overlaps and all lie between `top` and `bottom`
/// if there is room; each stack of labels has the least sum of squares of what it was moved.
pub(in crate::report) fn spread(labels: &[Label], top: f64, bottom: f64) -> Vec<f64> {
    let mut stacks: Vec<Stack> = Vec::new();
    for label in labels {
        let wish = label.middle - label.height / 2.0;
        stacks.push(placed(1, label.height, wish, top, bottom));
        while let [.., above, below] = stacks.as_slice()
            && above.top + above.height > below.top
        {
            let wishes = above.wishes + below.wishes - below.labels_f64() * above.height;
            let merged = placed(above.labels + below.labels, above.height + below.height, wishes, top, bottom);
            stacks.truncate(stacks.len() - 2);
            stacks.push(merged);
        }
    }
    let mut rest = labels.iter();
    let mut middles = Vec::with_capacity(labels.len());
    for stack in stacks {
        let mut y = stack.top;
        for label in rest.by_ref().take(stack.labels) {
            middles.push(y + label.height / 2.0);
            y += label.height;
        }
    }
    middles
}

impl Stack {
    fn labels_f64(&self) -> f64 {
        self.labels as f64
    }
}

fn placed(labels: usize, height: f64, wishes: f64, top: f64, bottom: f64) -> Stack {
    let wanted = wishes / labels as f64;
    Stack { labels, height, wishes, top: wanted.min(bottom - height).max(top) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn labels(middles: &[f64]) -> Vec<Label> {
        middles.iter().map(|&middle| Label { middle, height: 10.0 }).collect()
    }

    #[test]
    fn labels_with_room_stay_where_they_are() {
        assert_eq!(spread(&labels(&[10.0, 40.0, 50.0]), 0.0, 100.0), [10.0, 40.0, 50.0]);
    }

    #[test]
    fn crowded_labels_move_both_ways() {
        assert_eq!(spread(&labels(&[50.0, 50.0, 50.0]), 0.0, 100.0), [40.0, 50.0, 60.0]);
        assert_eq!(spread(&labels(&[2.0, 3.0, 60.0]), 0.0, 100.0), [5.0, 15.0, 60.0]);
        assert_eq!(spread(&labels(&[98.0, 99.0]), 0.0, 100.0), [85.0, 95.0]);
    }

    proptest! {
        #[test]
        fn none_overlaps_and_all_stay_inside(mut middles in prop::collection::vec(-50.0..450.0, 0..40)) {
            middles.sort_by(f64::total_cmp);
            let placed = spread(&labels(&middles), 0.0, 400.0);
            prop_assert_eq!(placed.len(), middles.len());
            prop_assert!(placed.array_windows().all(|[above, below]| below - above > 10.0 - 1e-9));
            prop_assert!(placed.iter().all(|y| (5.0 - 1e-9..=395.0 + 1e-9).contains(y)));
        }
    }
}

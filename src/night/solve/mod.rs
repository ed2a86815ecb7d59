//! Pour times on a grid of slots: the cheapest way through all layers, exactly.
//!
//! A layer's choice of slot and dose decides when the next one may follow; nothing else links layers, but for how many warm ones
//! lie below ([`Layer::beds`]). So it is a shortest path, layer by layer from the last one back: the value of a pour is its own
//! cost and the least value of the slots that its window reaches (Bellman, Dynamic Programming, 1957).
//!
//! What counts, in this order: wake-ups and sandings at their price, the finish of the layer that is finished last, risk, doses
//! away from the planned. The finish is a maximum and the others are sums. A maximum keeps the order of what comes before it, and
//! not of what comes after it; so the search goes through twice: first for cost and finish, then, with everything left out that
//! would be finished later, for cost, risk and doses.
//!
//! A window's risk is a step function of the slot, so its least value is a handful of range minima (Bender and
//! Farach-Colton, "The LCA Problem Revisited", LATIN 2000: sparse tables). Wake-ups are counted by passes: pass `k` has the best
//! path with at most `k` of them, made from itself and pass `k − 1`.
//!
//! Time O(passes · layers · beds · doses · slots), memory the same without the doses.

mod key;
mod pass;
mod path;
mod problem;
mod range_min;
mod reach;
#[cfg(test)]
mod tests;

pub use path::{Placed, Solution};
pub use problem::{After, Choice, EARLY, First, Hands, LATE, Layer, Levels, NEVER, Problem, Slot, Window};

use key::Key;
pub use key::{MOST_LAYERS, MOST_MINUTES};
use pass::{Aim, Pass};

/// The best ways through `problem`, by how many wake-ups they may cost: the cheapest of all, and what more sleep given up brings.
#[derive(Debug)]
pub struct Search<'a> {
    problem: &'a Problem,
    /// For cost and finish.
    passes: Vec<Pass>,
}

impl<'a> Search<'a> {
    pub fn new(problem: &'a Problem) -> Self {
        Self { problem, passes: Vec::new() }
    }

    /// The cheapest way; `None` where there is none.
    pub fn best(&mut self) -> Option<Solution> {
        let mut best: Option<(usize, Key)> = None;
        for wakeups in 0..=self.problem.layers.len() {
            let least = Key::of_wakeups(wakeups);
            if best.is_some_and(|(_, key)| least > key) {
                break;
            }
            let key = least.plus(self.key(wakeups));
            // Where one more wake-up helps nobody anywhere, none will.
            if let [.., before, last] = &self.passes[..]
                && before.layers == last.layers
            {
                break;
            }
            if !key.is_never() && best.is_none_or(|(_, so_far)| key < so_far) {
                best = Some((wakeups, key));
            }
        }
        best.and_then(|(wakeups, _)| self.within(wakeups))
    }

    /// The way that is finished first, of those with at most `wakeups` wake-ups and the fewest sandings.
    pub fn within(&mut self, wakeups: usize) -> Option<Solution> {
        let key = self.key(wakeups);
        if key.is_never() {
            return None;
        }
        let by = Aim::Risk { done_by: key.finish() };
        let mut passes: Vec<Pass> = Vec::with_capacity(wakeups + 1);
        for _ in 0..=wakeups {
            let pass = Pass::new(self.problem, passes.last(), by);
            passes.push(pass);
        }
        path::path(self.problem, &passes, by)
    }

    fn key(&mut self, wakeups: usize) -> Key {
        self.go_to(wakeups);
        self.passes[wakeups].first
    }

    fn go_to(&mut self, wakeups: usize) {
        while self.passes.len() <= wakeups {
            let pass = Pass::new(self.problem, self.passes.last(), Aim::Finish);
            self.passes.push(pass);
        }
    }
}

//! The way itself, read off the values.

use super::key::Key;
use super::pass::{Aim, Pass, bed_after};
use super::problem::{Hands, Problem, Slot, Window};
use super::reach::{Bed, Stretch, stretches};

/// One layer in its place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Placed {
    pub slot: Slot,
    pub bed: usize,
    /// Of the choices for that bed.
    pub choice: usize,
    pub wakes: bool,
    pub sanded: bool,
}

/// A whole way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Solution {
    pub pours: Vec<Placed>,
    /// Minutes after slot 0.
    pub finish: u32,
    /// The levels of risk it goes through, summed, in thousandths.
    pub risk: u32,
}

impl Solution {
    pub fn wakeups(&self) -> usize {
        self.pours.iter().filter(|pour| pour.wakes).count()
    }

    pub fn sandings(&self) -> usize {
        self.pours.iter().filter(|pour| pour.sanded).count()
    }

    /// In hundredths of a wake-up.
    pub fn cost(&self, problem: &Problem) -> u32 {
        let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        count(self.wakeups()) * 100 + count(self.sandings()) * u32::from(problem.sanding.unwrap_or(0))
    }
}

/// The way that the last of `passes` found best; `None` where it found none.
pub(super) fn path(problem: &Problem, passes: &[Pass], aim: Aim) -> Option<Solution> {
    let mut left = passes.len().checked_sub(1)?;
    if passes[left].first.is_never() {
        return None;
    }
    let mut solution = Solution { pours: Vec::with_capacity(problem.layers.len()), finish: 0, risk: 0 };
    let mut window = problem.first.window;
    let mut bed = Bed { warm_until: problem.first.warm_until, warm: problem.first.warm_bed };
    for place in 0..problem.layers.len() {
        let values = &passes[left].layers[place];
        let (slot, stretch) = best_slot(problem, values, (&window, bed), aim)?;
        let asleep = problem.hands[usize::from(slot)] == Hands::Asleep;
        let choices = &problem.layers[place].beds[stretch.bed];
        left -= usize::from(asleep);
        let rest = passes.get(left).and_then(|pass| pass.layers.get(place + 1));
        let mut tried = choices.iter().enumerate().filter_map(|(choice, made)| {
            let after = made.after[usize::from(slot)].filter(|after| !aim.leaves_out(after))?;
            let from_here = match &after.next {
                None => Key::NOTHING,
                Some(window) => {
                    let bed = bed_after(problem, stretch.bed, slot);
                    let (slot, next) = best_slot(problem, rest?, (window, bed), aim)?;
                    rest?[next.bed][usize::from(slot)].plus(aim.reaching(problem, &next))
                }
            };
            Some((aim.own(made, &after, from_here), choice, after))
        });
        let first = tried.next()?;
        let (_, choice, after) = tried.fold(first, |best, next| if next.0 < best.0 { next } else { best });
        solution.risk += u32::from(stretch.risk);
        solution.pours.push(Placed { slot, bed: stretch.bed, choice, wakes: asleep, sanded: stretch.sanded });
        solution.finish = solution.finish.max(after.done_min);
        if let Some(next) = after.next {
            (window, bed) = (next, bed_after(problem, stretch.bed, slot));
        }
    }
    Some(solution)
}

/// The slot of least value that `window` reaches, the first of them, and the stretch it lies in.
fn best_slot(problem: &Problem, beds: &[Vec<Key>], (window, bed): (&Window, Bed), aim: Aim) -> Option<(Slot, Stretch)> {
    let mut best: Option<(Key, Slot, Stretch)> = None;
    let end = Slot::try_from(problem.slots()).unwrap_or(Slot::MAX);
    stretches(window, &problem.levels, bed, end, problem.sanding.is_some(), |stretch| {
        let own = aim.reaching(problem, &stretch);
        for slot in stretch.slots.clone() {
            let asleep = problem.hands[usize::from(slot)] == Hands::Asleep;
            let key = beds[stretch.bed][usize::from(slot)].plus(own);
            let better = best.as_ref().is_none_or(|(least, ..)| key < *least);
            if better && !key.is_never() && !(asleep && stretch.awake_only) {
                best = Some((key, slot, stretch.clone()));
            }
        }
    });
    best.map(|(_, slot, stretch)| (slot, stretch))
}

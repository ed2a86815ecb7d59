//! The values of all pours with so many wake-ups, from the last layer back.

use super::key::Key;
use super::problem::{After, Choice, Hands, Problem, Slot, Window};
use super::range_min::RangeMin;
use super::reach::{Bed, Stretch, stretches};

/// The least value of a pour by layer, bed and slot, with at most so many wake-ups from there on.
#[derive(Debug)]
pub(super) struct Pass {
    pub layers: Vec<Vec<Vec<Key>>>,
    /// Of the whole way.
    pub first: Key,
}

/// Range minima of one layer's values, by bed: of all slots, and of those in which nobody sleeps.
struct Tables {
    beds: Vec<[RangeMin; 2]>,
}

/// What is looked for, besides the fewest wake-ups and sandings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Aim {
    Finish,
    /// Least risk, then doses least away from the planned, of all that is done by so many minutes.
    Risk {
        done_by: u64,
    },
}

impl Pass {
    /// The pass after `fewer`, which allows one wake-up less; the first one allows none.
    pub fn new(problem: &Problem, fewer: Option<&Pass>, aim: Aim) -> Self {
        let count = problem.layers.len();
        let mut layers: Vec<Vec<Vec<Key>>> = Vec::with_capacity(count);
        let mut above: Option<(Tables, Option<Tables>)> = None;
        for place in (0..count).rev() {
            let beds = (0..problem.beds()).map(|bed| {
                let choices = &problem.layers[place].beds[bed];
                values(problem, choices, bed, above.as_ref(), (fewer.is_some(), aim))
            });
            let beds: Vec<Vec<Key>> = beds.collect();
            let tables_fewer = fewer.map(|fewer| Tables::new(problem, &fewer.layers[place]));
            above = Some((Tables::new(problem, &beds), tables_fewer));
            layers.push(beds);
        }
        layers.reverse();
        let first = &problem.first;
        let bed = Bed { warm_until: first.warm_until, warm: first.warm_bed };
        let first = above.map_or(Key::NEVER, |(tables, _)| least(problem, &tables, &first.window, bed, aim));
        Self { layers, first }
    }
}

impl Tables {
    fn new(problem: &Problem, beds: &[Vec<Key>]) -> Self {
        let awake = |values: &Vec<Key>| {
            let asleep = problem.hands.iter().map(|hands| *hands == Hands::Asleep);
            values.iter().zip(asleep).map(|(key, asleep)| if asleep { Key::NEVER } else { *key }).collect()
        };
        let pair = |values: &Vec<Key>| [RangeMin::new(values.clone()), RangeMin::new(awake(values))];
        Self { beds: beds.iter().map(pair).collect() }
    }
}

/// The bed a pour onto `bed` makes of itself for the next one.
pub(super) fn bed_after(problem: &Problem, bed: usize, slot: Slot) -> Bed {
    let warm_until = slot.saturating_add(problem.warm_slots);
    Bed { warm_until, warm: (bed + 1).min(problem.beds() - 1) }
}

/// By slot, over all `choices`. `above` has the next layer's tables, of this pass and of the one before.
fn values(
    problem: &Problem,
    choices: &[Choice],
    bed: usize,
    above: Option<&(Tables, Option<Tables>)>,
    (may_wake, aim): (bool, Aim),
) -> Vec<Key> {
    let mut least_of = vec![Key::NEVER; problem.slots()];
    for choice in choices {
        let slots = (0..).zip(&problem.hands).zip(choice.after.iter().zip(&mut least_of));
        for ((slot, hands), (after, best)) in slots {
            let Some(after) = after else { continue };
            let tables = match (hands, above) {
                (Hands::Busy, _) => continue,
                (Hands::Asleep, _) if !may_wake => continue,
                (Hands::Asleep, Some((_, fewer))) => fewer.as_ref(),
                (Hands::Free, Some((same, _))) => Some(same),
                (_, None) => None,
            };
            if aim.leaves_out(after) {
                continue;
            }
            let rest = match (&after.next, tables) {
                (None, _) => Key::NOTHING,
                (Some(window), Some(tables)) => least(problem, tables, window, bed_after(problem, bed, slot), aim),
                (Some(_), None) => Key::NEVER,
            };
            *best = (*best).min(aim.own(choice, after, rest));
        }
    }
    least_of
}

fn least(problem: &Problem, tables: &Tables, window: &Window, bed: Bed, aim: Aim) -> Key {
    let mut best = Key::NEVER;
    let end = Slot::try_from(problem.slots()).unwrap_or(Slot::MAX);
    stretches(window, &problem.levels, bed, end, problem.sanding.is_some(), |stretch| {
        let table = &tables.beds[stretch.bed][usize::from(stretch.awake_only)];
        let found = table.least(usize::from(stretch.slots.start)..usize::from(stretch.slots.end));
        best = best.min(found.plus(aim.reaching(problem, &stretch)));
    });
    best
}

impl Aim {
    pub fn leaves_out(self, after: &After) -> bool {
        matches!(self, Aim::Risk { done_by } if u64::from(after.done_min) > done_by)
    }

    /// What a pour comes to with what follows it.
    pub fn own(self, choice: &Choice, after: &After, rest: Key) -> Key {
        match self {
            Aim::Finish => rest.not_before(after.done_min),
            Aim::Risk { .. } => rest.plus(Key::of_away(choice.away)),
        }
    }

    /// What it costs to pour in a stretch, besides the pour.
    pub fn reaching(self, problem: &Problem, stretch: &Stretch) -> Key {
        let sanding = problem.sanding.filter(|_| stretch.sanded).map_or(Key::NOTHING, Key::of_price);
        match self {
            Aim::Finish => sanding,
            Aim::Risk { .. } => sanding.plus(Key::of_risk(stretch.risk)),
        }
    }
}

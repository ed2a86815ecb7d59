//! The search against trying everything, on small invented cases.

use super::*;
use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, TestRunner};
use std::sync::Arc;

const LEVELS: Levels = Levels { early: [500, 100, 20, 2], late: [100, 20, 5, 1], early_asleep: 100 };

/// What a way costs, in the order that counts.
type Cost = (u32, u32, u32, u32);

/// Every way there is, one slot and one choice after another, straight from the meaning of the fields; `so_far` is what the
/// layers below came to.
fn tried(
    problem: &Problem,
    place: usize,
    so_far: Cost,
    reach: &dyn Fn(Slot) -> Vec<(usize, u32, u32, bool)>,
) -> Option<Cost> {
    let mut best: Option<Cost> = None;
    for slot in 0..Slot::try_from(problem.slots()).expect("few slots") {
        let hands = problem.hands[usize::from(slot)];
        if hands == Hands::Busy {
            continue;
        }
        let asleep = hands == Hands::Asleep;
        for (bed, price, risk, unsure) in reach(slot) {
            if asleep && unsure {
                continue;
            }
            for choice in &problem.layers[place].beds[bed] {
                let Some(after) = choice.after[usize::from(slot)] else { continue };
                let so_far = (
                    so_far.0 + price + if asleep { 100 } else { 0 },
                    so_far.1.max(after.done_min),
                    so_far.2 + risk,
                    so_far.3 + u32::from(choice.away),
                );
                let whole = match after.next {
                    None => Some(so_far),
                    Some(window) => {
                        let next = |to: Slot| reached(problem, &window, bed, Some(slot), to);
                        tried(problem, place + 1, so_far, &next)
                    }
                };
                best = [best, whole].into_iter().flatten().min();
            }
        }
    }
    best
}

/// The ways from a pour at `from` to one at `to`: its bed, the price, the risk, and whether it is too unsure to be woken for.
fn reached(
    problem: &Problem,
    window: &Window,
    bed: usize,
    from: Option<Slot>,
    to: Slot,
) -> Vec<(usize, u32, u32, bool)> {
    let warm = match from {
        Some(from) => to < from.saturating_add(problem.warm_slots),
        None => to < problem.first.warm_until,
    };
    let top = problem.layers[0].beds.len() - 1;
    let warm_bed = if from.is_some() { (bed + 1).min(top) } else { problem.first.warm_bed };
    let bed = if warm { warm_bed } else { 0 };
    let mut ways = Vec::new();
    if to >= window.open[0] && to < window.shut[0] {
        let mut early = 0;
        for (open, level) in window.open.iter().zip(LEVELS.early) {
            if to >= *open {
                early = level;
            }
        }
        if window.open == [0; EARLY] {
            early = 0;
        }
        let mut late = 0;
        for (shut, level) in window.shut.iter().zip(LEVELS.late) {
            if to < *shut {
                late = if *shut == NEVER { 0 } else { level };
            }
        }
        ways.push((bed, 0, u32::from(early + late), early > LEVELS.early_asleep));
    }
    if let Some(price) = problem.sanding.filter(|_| to >= window.sand) {
        ways.push((bed, u32::from(price), 0, false));
    }
    ways
}

fn window(slots: Slot) -> impl Strategy<Value = Window> {
    let steps = (prop::array::uniform4(0..3u16), prop::array::uniform4(0..3u16), 0..slots / 2, 0..slots, any::<bool>());
    steps.prop_map(move |(open, shut, from, long, shuts)| {
        let mut opens = [from; EARLY];
        for place in 1..EARLY {
            opens[place] = opens[place - 1] + open[place];
        }
        let mut shuts_at = [if shuts { from + long } else { NEVER }; LATE];
        for place in 1..LATE {
            shuts_at[place] = if shuts { shuts_at[place - 1].saturating_sub(shut[place]) } else { NEVER };
        }
        Window { open: opens, shut: shuts_at, sand: opens[1] + 1 }
    })
}

/// Windows and finishes count from the pour, so that every slot has a case of its own.
fn choice(slots: Slot, last: bool) -> impl Strategy<Value = Choice> {
    let of_slot = prop::option::weighted(0.9, (window(slots / 2 + 1), 30..400u32));
    (0..3u16, prop::collection::vec(of_slot, usize::from(slots))).prop_map(move |(away, by_slot)| {
        let after = (0..).zip(by_slot).map(|(slot, made): (Slot, _)| {
            let (window, minutes) = made?;
            let on = |place: Slot| if place == NEVER { NEVER } else { place + slot };
            let next = Window {
                open: window.open.map(|place| on(place) + 1),
                shut: window.shut.map(on),
                sand: on(window.sand) + 1,
            };
            Some(After { done_min: minutes + u32::from(slot) * 5, next: (!last).then_some(next) })
        });
        Choice { away, after: after.collect::<Vec<_>>().into() }
    })
}

fn problem() -> impl Strategy<Value = Problem> {
    let size = (5..12u16, 1..5usize, 1..4usize, 1..4usize);
    size.prop_flat_map(|(slots, layers, beds, doses)| {
        let layer = move |place: usize| {
            let last = place + 1 == layers;
            prop::collection::vec(prop::collection::vec(choice(slots, last), doses), beds)
                .prop_map(|beds| Layer { beds })
        };
        let hands = prop::collection::vec(
            prop_oneof![4 => Just(Hands::Free), 4 => Just(Hands::Asleep), 1 => Just(Hands::Busy)],
            usize::from(slots),
        );
        let first = (prop_oneof![Just(Window::ALWAYS), window(slots)], 0..slots, 0..beds);
        let layers: Vec<_> = (0..layers).map(layer).collect();
        (hands, first, layers, 0..slots, prop::option::of(prop_oneof![Just(50u16), Just(150), Just(250)]))
    })
    .prop_map(|(hands, (window, warm_until, warm_bed), layers, warm_slots, sanding)| Problem {
        hands,
        first: First { window, warm_until, warm_bed },
        layers,
        warm_slots,
        levels: LEVELS,
        sanding,
    })
}

/// What a way really costs, and that every step of it is allowed.
fn cost_of(problem: &Problem, solution: &Solution) -> Cost {
    let mut cost = (0, 0, 0, 0);
    let (mut window, mut bed, mut from) = (problem.first.window, 0, None);
    for (placed, layer) in solution.pours.iter().zip(&problem.layers) {
        let hands = problem.hands[usize::from(placed.slot)];
        assert_ne!(hands, Hands::Busy);
        assert_eq!(placed.wakes, hands == Hands::Asleep, "in sleep, and not counted");
        let ways = reached(problem, &window, bed, from, placed.slot);
        let way = ways.iter().find(|(_, price, ..)| (*price > 0) == placed.sanded);
        let (at, price, risk, unsure) = way.expect("outside its window, and not priced");
        assert_eq!(*at, placed.bed);
        assert!(!(placed.wakes && *unsure), "woken for what is too unsure");
        let choice = &layer.beds[placed.bed][placed.choice];
        cost = (
            cost.0 + price + if placed.wakes { 100 } else { 0 },
            cost.1,
            cost.2 + risk,
            cost.3 + u32::from(choice.away),
        );
        let after = choice.after[usize::from(placed.slot)].expect("poured when it may not be");
        cost.1 = cost.1.max(after.done_min);
        if let Some(next) = after.next {
            (window, bed, from) = (next, placed.bed, Some(placed.slot));
        }
    }
    assert_eq!(cost.1, solution.finish);
    assert_eq!((cost.2, cost.0), (solution.risk, solution.cost(problem)));
    cost
}

/// 500 invented cases, the same every time.
#[test]
fn it_is_as_good_as_trying_everything() {
    let mut runner = TestRunner::new_with_rng(
        Config::default(),
        proptest::test_runner::TestRng::deterministic_rng(proptest::test_runner::RngAlgorithm::ChaCha),
    );
    let (mut solved, mut woken, mut sanded) = (0, 0, 0);
    for _ in 0..500 {
        let problem = problem().new_tree(&mut runner).expect("a case").current();
        assert!(problem.fits());
        let first = problem.first.window;
        let want = tried(&problem, 0, (0, 0, 0, 0), &|slot| reached(&problem, &first, 0, None, slot));
        let found = Search::new(&problem).best();
        assert_eq!(found.as_ref().map(|found| cost_of(&problem, found)), want, "{problem:?}");
        solved += usize::from(found.is_some());
        woken += usize::from(found.as_ref().is_some_and(|found| found.wakeups() > 0));
        sanded += usize::from(found.as_ref().is_some_and(|found| found.sandings() > 0));
    }
    assert!(solved > 250 && woken > 100 && sanded > 10, "cases that say something: {solved}, {woken}, {sanded}");
}

#[test]
fn more_wakeups_never_finish_later() {
    let mut runner = TestRunner::deterministic();
    for _ in 0..200 {
        let problem = Problem { sanding: None, ..problem().new_tree(&mut runner).expect("a case").current() };
        let mut search = Search::new(&problem);
        let finishes: Vec<Option<u32>> =
            (0..=problem.layers.len()).map(|wakeups| search.within(wakeups).map(|way| way.finish)).collect();
        for pair in finishes.windows(2) {
            assert!(pair[0].is_none() || pair[1].is_some_and(|more| Some(more) <= pair[0]), "{finishes:?}");
        }
    }
}

#[test]
fn nothing_fits_where_nobody_has_a_hand_free() {
    let done = Some(After { done_min: 10, next: None });
    let choice = Choice { away: 0, after: Arc::from(vec![done; 4]) };
    let problem = Problem {
        hands: vec![Hands::Busy; 4],
        first: First { window: Window::ALWAYS, warm_until: 0, warm_bed: 0 },
        layers: vec![Layer { beds: vec![vec![choice]] }],
        warm_slots: 0,
        levels: LEVELS,
        sanding: None,
    };
    assert_eq!(Search::new(&problem).best(), None);
}

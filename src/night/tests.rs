//! Whole plans, held against the cure model by another way and against the clock minute by minute. Pieces, rooms and people are
//! invented.

use super::*;
use crate::cure::{AgeCurve, Knot, Outlook, RoomSpread, StageModel, TemperatureCurve};
use crate::material::{AfterClosing, Catalogue, Cure, Profile, Stage};
use crate::pour::{MeshAsk, Piece, Progress, Sources, read_piece};
use crate::units::{Celsius, Hours as H};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use proptest::prelude::*;

fn piece(layers: u32, topping: bool) -> Piece {
    let toml = format!(
        "name = 'a block'\nmaterial = 'clear-polyester'\nfill_mm = {}\n[vessel]\nshape = 'cylinder'\ndiameter_mm = 60\n\
         height_mm = 130\n[layers]\ncount = {layers}\ntopping = {topping}\n",
        layers * 10
    );
    let no_mesh = |_: MeshAsk<'_>| unreachable!("the piece has none");
    read_piece(&toml, Sources::with_meshes(&no_mesh)).unwrap().value
}

/// Without its heat: what that does is another model's business, and takes its time.
fn profile() -> Profile {
    let mut profile = Catalogue::embedded().find("clear-polyester").unwrap().profile.clone();
    if let Cure::Thermal(cure) = &mut profile.cure {
        cure.heat = None;
    }
    profile
}

fn at(minutes: i64) -> Timestamp {
    "2026-03-02T16:00:00Z".parse::<Timestamp>().unwrap() + SignedDuration::from_mins(minutes)
}

fn room(from_c: f64, night_c: f64) -> BenchAhead {
    let knot = |at_h: f64, c: f64| Knot { at_h, celsius: Celsius::new(c).unwrap() };
    let curve = TemperatureCurve::new(vec![knot(0.0, from_c), knot(10.0, night_c), knot(16.0, from_c)]).unwrap();
    let spread = RoomSpread::Wandering { share: 0.25, from_start_c: 0.5 };
    BenchAhead { curve, outlook: Outlook { measured_until_h: Some(0.0), now_h: 0.0, spread } }
}

fn sleeping(hours: &str) -> NightRules {
    NightRules { rest: Rest { sleep: vec![hours.parse().unwrap()], ..Rest::default() }, ..NightRules::default() }
}

struct Case {
    piece: Piece,
    profile: Profile,
    bench: BenchAhead,
    rules: NightRules,
    from: Timestamp,
    taken: Vec<Span>,
}

impl Case {
    fn new(layers: u32, rules: NightRules) -> Self {
        Self {
            piece: piece(layers, false),
            profile: profile(),
            bench: room(20.0, 15.0),
            rules,
            from: at(210),
            taken: Vec::new(),
        }
    }

    fn with<T>(&self, of: impl FnOnce(NightAsk<'_>) -> T) -> T {
        let progress = Progress::default();
        let options = PourOptions::of(&self.piece, &self.profile, &progress, &self.bench.curve, &self.rules);
        of(NightAsk {
            piece: &self.piece,
            profile: &self.profile,
            progress: &progress,
            options: &options,
            bench: &self.bench,
            below: None,
            from: self.from,
            zone: &TimeZone::UTC,
            rules: &self.rules,
            taken: &self.taken,
        })
    }

    fn best(&self) -> Result<NightPlan, NoNight> {
        self.with(|ask| Planner::new(ask)?.best())
    }

    /// When a stage of a pour is likely, by a clock of its own that begins with it.
    fn likely(&self, pour: &NightPour, stage: Stage) -> Timestamp {
        let cure = self.profile.thermal().unwrap();
        let time = cure.stage(stage).unwrap();
        let at_h = pour.at.duration_since(self.from).as_secs_f64() / 3600.0;
        let ages = AgeCurve::new(&self.bench.curve, cure.rule_of(time), at_h);
        let model =
            StageModel { age: cure.age(time, pour.dose), spread: time.spread.value, least_c: None, doubt: None };
        let h = model.predict(&ages, &self.bench.outlook, None).likely.unwrap();
        self.from + SignedDuration::from_secs_f64(h * 3600.0)
    }
}

/// Whether the hands are asleep in any minute of the work, the clock read minute by minute.
fn asleep(pour: &NightPour, rules: &NightRules, from_h: i64, until_h: i64) -> bool {
    let work = rules.prepare.as_mins() + rules.pouring.as_mins();
    (0..work).any(|minute| {
        let moment = pour.at - rules.prepare + SignedDuration::from_mins(minute);
        let hour = i64::from(moment.to_zoned_datetime(TimeZone::UTC).hour());
        if from_h > until_h { hour >= from_h || hour < until_h } else { hour >= from_h && hour < until_h }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn a_plan_keeps_to_its_windows_its_sleep_and_its_appointments(
        layers in 2u32..6, warm in 16.0f64..25.0, colder in 0.0f64..3.0, bed in 20i64..24, up in 5i64..9,
        risk in 0.02f64..0.4, sanding in prop::option::of(0.0f64..3.0), busy_at in 0i64..900, doses: bool, start in 0i64..600,
    ) {
        let mut rules = sleeping(&format!("{bed:02}:00-{up:02}:00"));
        (rules.risk, rules.sanding, rules.doses) = (risk, sanding, doses);
        let mut case = Case::new(layers, rules);
        case.bench = room(warm, warm - colder);
        case.from = at(start / 5 * 5);
        case.taken = vec![Span { from: case.from + SignedDuration::from_mins(busy_at), until: case.from + SignedDuration::from_mins(busy_at + 90) }];
        let plan = match case.best() {
            Ok(plan) => plan,
            // A small risk and a quick cup do not go together.
            Err(NoNight::PotLife { .. }) => return Ok(()),
            Err(why) => return Err(TestCaseError::fail(format!("{why}"))),
        };
        prop_assert_eq!(plan.pours.len(), layers as usize);
        prop_assert!((plan.cost - plan.wakeups() as f64 - plan.sandings() as f64 * (sanding.unwrap_or(0.0) * 100.0).round() / 100.0).abs() < 1e-9);
        for pour in &plan.pours {
            prop_assert!(pour.at >= case.from);
            // What is before the start cannot be slept through.
            let begins = pour.at - case.rules.prepare >= case.from;
            prop_assert!(!begins || pour.wakes == asleep(pour, &case.rules, bed, up), "{pour:?}");
            let work = Span { from: (pour.at - case.rules.prepare).max(case.from), until: pour.at + case.rules.pouring };
            prop_assert!(!case.taken[0].meets(&work), "{pour:?}");
        }
        for pair in plan.pours.windows(2) {
            let (below, pour) = (&pair[0], &pair[1]);
            let window = pour.window.unwrap();
            let off = |told: Option<Timestamp>, stage| (told.unwrap().duration_since(case.likely(below, stage))).abs();
            prop_assert!(off(window.opens.likely, Stage::NextLayerOpens) < SignedDuration::from_secs(2));
            prop_assert!(off(window.closes.likely, Stage::NextLayerCloses) < SignedDuration::from_secs(2));
            // Likely open at least, surely for who is woken; closed at no more than the risk, unless it is sanded at a price.
            prop_assert!(window.not_open <= risk.max(0.5) + 1e-6, "{window:?}");
            prop_assert!(!pour.wakes || window.not_open <= risk + 1e-6, "{window:?}");
            prop_assert!(window.closed <= risk + 1e-6 || pour.sanded && sanding.is_some(), "{window:?}");
        }
        let last = plan.pours.iter().map(|pour| case.likely(pour, Stage::Demould)).max().unwrap();
        let late = plan.finish.likely.duration_since(last);
        prop_assert!(late >= SignedDuration::ZERO && late <= SignedDuration::from_mins(1), "done with the last that is: {late}");
    }

    #[test]
    fn a_deadline_that_was_kept_is_kept_with_the_risk_that_is_taken(hours in 14i64..60) {
        let mut case = Case::new(3, sleeping("23:00-06:30"));
        let by = case.from + SignedDuration::from_hours(hours);
        case.rules.demoulded_by = Some(by);
        match case.best() {
            Ok(plan) => prop_assert!(plan.finish.late.unwrap() <= by),
            Err(NoNight::TooLate { .. }) => {}
            Err(why) => return Err(TestCaseError::fail(format!("{why}"))),
        }
    }
}

#[test]
fn more_hands_and_more_sleep_given_up_never_finish_later() {
    let case = Case::new(6, sleeping("21:00-08:00"));
    let finishes: Vec<Option<Timestamp>> = case.with(|ask| {
        let mut planner = Planner::new(ask).unwrap();
        (0..=6).map(|wakeups| planner.within(wakeups).map(|plan| plan.finish.likely)).collect()
    });
    for pair in finishes.windows(2) {
        assert!(pair[0].is_none() || pair[1] <= pair[0], "{finishes:?}");
    }
    assert!(finishes[6] < finishes[0], "a night that is poured through is done sooner: {finishes:?}");
}

#[test]
fn the_answer_is_the_better_of_the_two_and_says_why() {
    let case = Case::new(6, sleeping("23:00-06:30"));
    let night = case.with(night).unwrap();
    let answer = night.now_or_morning.as_ref().unwrap();
    let (now, morning) = (answer.now.as_ref().unwrap(), answer.morning.as_ref().unwrap());
    assert!(now.pours[0].at < answer.sleep.until && morning.pours[0].at >= answer.sleep.until);
    let better = if answer.verdict == Verdict::Now { now } else { morning };
    assert_eq!((better.cost, better.finish.likely), (night.best.cost, night.best.finish.likely));
    for other in &night.alternatives {
        let sooner = other.plan.finish.likely < night.best.finish.likely;
        assert!(sooner || other.plan.wakeups() < night.best.wakeups(), "{:?} is worth nothing", other.kind);
    }
}

#[test]
fn a_topping_waits_until_the_casting_has_set_cold() {
    let mut case = Case::new(2, sleeping("23:00-06:30"));
    case.piece = piece(2, true);
    let plan = case.best().unwrap();
    let [.., last, topping] = &plan.pours[..] else { panic!("{plan:?}") };
    let waited = topping.at.duration_since(last.at);
    assert!(waited >= SignedDuration::from_hours(12), "{waited}");
    assert!(topping.window.unwrap().closes.likely.is_none());
}

#[test]
fn a_window_that_is_let_pass_is_sanded_at_its_price() {
    // Nobody has a hand free between the first twenty minutes and sixty hours later, and it must be done soon after.
    let price = |sanding, by_min: i64| {
        let mut case = Case::new(2, NightRules { sanding, doses: false, ..NightRules::default() });
        let after = |minutes| case.from + SignedDuration::from_mins(minutes);
        (case.taken, case.rules.demoulded_by) =
            (vec![Span { from: after(20), until: after(60 * 60) }], Some(after(by_min)));
        case.best()
    };
    let sanded = price(Some(0.5), 71 * 60 + 30).unwrap();
    assert!(sanded.pours[0].at < at(240) && sanded.sandings() == 1 && (sanded.cost - 0.5).abs() < 1e-9, "{sanded:?}");
    assert!(price(None, 71 * 60 + 30).is_err());
    // What costs nothing comes first: with more time it begins late rather than sand.
    let late = price(Some(0.5), 90 * 60).unwrap();
    assert!(late.pours[0].at > at(60 * 60) && late.cost < 1e-9, "{late:?}");
}

#[test]
fn a_coat_that_wrinkles_waits_until_it_is_cured_through() {
    let mut case = Case::new(2, NightRules { sanding: Some(1.0), doses: false, ..NightRules::default() });
    case.profile.after_closing = Some(AfterClosing::Wait);
    if let Cure::Thermal(cure) = &mut case.profile.cure {
        for time in &mut cure.stages {
            match time.stage {
                Stage::FullCure => time.after.value = H::new(48.0).unwrap(),
                Stage::NextLayerCloses => time.after.value = H::new(2.0).unwrap(),
                _ => {}
            }
        }
    }
    // Hands free for twenty minutes, and again after a hundred hours, with little time left.
    let after = |minutes: i64| case.from + SignedDuration::from_mins(minutes);
    (case.taken, case.rules.demoulded_by) =
        (vec![Span { from: after(20), until: after(100 * 60) }], Some(after(111 * 60 + 30)));
    let plan = case.best().unwrap();
    assert_eq!(plan.sandings(), 1, "{plan:?}");
    assert!(plan.pours[1].at >= case.likely(&plan.pours[0], Stage::FullCure), "{plan:?}");
    // A day sooner it is not cured through, and nothing may be poured on it.
    (case.taken, case.rules.demoulded_by) =
        (vec![Span { from: after(20), until: after(40 * 60) }], Some(after(51 * 60 + 30)));
    assert!(case.best().is_err(), "{:?}", case.best());
}

#[test]
fn what_stands_in_the_way_is_named() {
    let mut case = Case::new(3, sleeping("23:00-06:30"));
    case.bench = room(12.0, 12.0);
    assert!(matches!(case.best(), Err(NoNight::TooCold(_))), "{:?}", case.best());
    case.bench = room(20.0, 15.0);
    case.rules.pouring = SignedDuration::from_mins(30);
    assert!(matches!(case.best(), Err(NoNight::PotLife { .. })), "{:?}", case.best());
    case.rules.pouring = SignedDuration::from_mins(5);
    case.rules.demoulded_by = Some(case.from + SignedDuration::from_hours(3));
    assert!(matches!(case.best(), Err(NoNight::TooLate { .. })), "{:?}", case.best());
    let light = Catalogue::embedded().find("uv-resin").unwrap().profile.clone();
    let clockless = Case { profile: light, ..Case::new(2, sleeping("23:00-06:30")) };
    assert!(matches!(clockless.best(), Err(NoNight::NoClock(_))), "{:?}", clockless.best());
}

#[test]
fn a_colder_night_a_weaker_dose_and_a_layer_less_stand_beside_the_plan() {
    let case = Case::new(4, sleeping("23:00-06:30"));
    let (plan, cases) = case.with(|ask| {
        let plan = Planner::new(ask).unwrap().best().unwrap();
        let all = [WhatIf::Colder { by_c: 3.0 }, WhatIf::Weaker { by: 0.2 }, WhatIf::OneLayerLess];
        let cases = all.map(|what| what_if(ask, &plan, what).unwrap());
        (plan, cases)
    });
    let open = |of: &WhatIfCase, place: usize| of.windows[place].map(|window| window.not_open);
    let anew = |of: &WhatIfCase| of.anew.as_ref().unwrap().finish.likely;
    assert!(anew(&cases[1]) > plan.finish.likely, "what is weaker is done later, planned anew or not");
    for later in &cases[..2] {
        assert!(later.finish > Some(plan.finish.likely));
        assert!((1..4).all(|place| open(later, place).unwrap() >= plan.pours[place].not_open()), "it opens later");
    }
    let less = &cases[2];
    assert!(less.windows[3].is_none() && less.anew.as_ref().unwrap().pours.len() == 3);
    assert!(less.anew.as_ref().unwrap().finish.likely <= plan.finish.likely);
}

#[test]
fn a_time_to_get_up_names_the_doses_whose_window_is_open_then() {
    let mut case = Case::new(3, sleeping("23:00-06:30"));
    case.rules.risk = 0.2;
    case.with(|ask| {
        let plan = Planner::new(ask).unwrap().best().unwrap();
        let first = plan.first().unwrap();
        let asked = |hours: i64| doses_for_waking(ask, &plan, first.at + SignedDuration::from_hours(hours)).unwrap();
        let (soon, late) = (asked(1), asked(7));
        let (weakest, strongest) = late.range.expect("some dose lasts until then");
        assert!(weakest <= late.best.0 && late.best.0 <= strongest);
        assert!(late.best.1.not_open <= 0.2 && late.best.1.closed <= 0.2);
        // What is to be poured on sooner takes more.
        assert!(soon.best.0 >= late.best.0, "{soon:?} {late:?}");
        assert!(doses_for_waking(ask, &plan, first.at).is_none(), "not before it is poured");
    });
}

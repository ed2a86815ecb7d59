use super::*;
use crate::bench::command::{Dose, NewMix};
use crate::bench::entry::{BatchId, Entry, KeptMesh, Part, PieceId, Seen};
use crate::bench::log::Log;
use crate::bench::testing::{Story, at, material};
use crate::bench::{BatchForecast, Bench, Event, StageStatus, forecast};
use crate::material::Catalogue;
use crate::text::PlainText;
use crate::units::{Grams, Millimetres};
use jiff::tz::TimeZone;

/// An invented square dish, 50 mm deep.
const DISH: &str = "name = 'dish'\nmaterial = 'clear-polyester'\nfill_mm = 40\n\
     [vessel]\nshape = 'box'\nlength_mm = 120\nwidth_mm = 120\nheight_mm = 50\n[layers]\nmax_mm = 20\n";

fn mm(depth: f64) -> Option<Millimetres> {
    Millimetres::new(depth).ok()
}

fn grams(mass: f64) -> Option<Grams> {
    Grams::new(mass).ok()
}

/// A dish on a bench at 20 °C.
fn dish() -> Story {
    let mut story = Story::at_20_c();
    let (toml, meshes) = (DISH.to_owned(), Vec::<KeptMesh>::new());
    story.write(-5, Entry::PieceStarted { name: PlainText::new("dish"), toml, meshes });
    story
}

/// A layer of the dish, `depth_mm` deep by its weight.
fn pour(story: &mut Story, minute: i64, layer: u32, depth_mm: f64) -> BatchId {
    let part = Part::Layer { piece: PieceId(1), layer };
    // 14.4 mL a millimetre, 1.13 g a millilitre, 3 g stay in the cup.
    let resin = grams(depth_mm * 14.4 * 1.13 + 3.0);
    story.mix_as(minute, "clear-polyester", |mix| (mix.part, mix.resin) = (Some(part), resin))
}

fn clock(log: &Log, batch: BatchId, minute: i64) -> BatchForecast {
    let batch = log.batch(batch).unwrap();
    forecast(batch, log.readings(), HeatBook::of(log).get(batch.id), at(minute)).unwrap()
}

/// Minutes after 20:00 at which a stage is likely, and by the bench alone where that is another time.
fn minutes(clock: &BatchForecast, stage: Stage) -> (f64, Option<f64>) {
    let stage = clock.stage(stage).unwrap();
    let minutes = |moment| hours_between(at(0), moment) * 60.0;
    (minutes(stage.band.likely.unwrap()), stage.plain.map(minutes))
}

fn layer(celsius: f64, depth_mm: f64) -> (Story, BatchId) {
    let mut story = Story::new();
    story.read(-60, celsius);
    let batch = story.mix_as(0, "clear-polyester", |mix| mix.depth = mm(depth_mm));
    (story, batch)
}

#[test]
fn a_deep_layer_comes_sooner_and_a_thin_one_later_than_the_profile_says() {
    let at_20_c = |depth_mm: f64| {
        let (story, batch) = layer(20.0, depth_mm);
        minutes(&clock(&story.log(), batch, 0), Stage::Demould)
    };
    let (deep, plain) = at_20_c(20.0);
    assert!(deep < 400.0 && plain == Some(420.0), "{deep} {plain:?}");
    let (thin, plain) = at_20_c(4.0);
    assert!(thin > 430.0 && plain == Some(420.0), "{thin} {plain:?}");
    let (own, plain) = at_20_c(10.0);
    assert!((own - 420.0).abs() < 2.0 && plain.is_none(), "the profile's own layer: {own} {plain:?}");
}

#[test]
fn the_whole_band_moves_and_a_look_still_counts() {
    let (mut story, batch) = layer(24.0, 20.0);
    let opens = |story: &Story| clock(&story.log(), batch, 30).stage(Stage::NextLayerOpens).unwrap().clone();
    let before = opens(&story);
    let (early, likely, late) = (before.band.early.unwrap(), before.band.likely.unwrap(), before.band.late.unwrap());
    assert!(before.plain.is_some_and(|plain| likely < plain) && early < likely && likely < late);
    story.see(30, batch, Stage::NextLayerOpens, Seen::NotYet { at: at(30) });
    let after = opens(&story);
    assert!(after.band.early.unwrap() > at(30) && after.band.likely.unwrap() > likely);
}

#[test]
fn in_the_cold_the_bench_decides() {
    let (story, batch) = layer(12.0, 20.0);
    let clock = clock(&story.log(), batch, 5);
    assert!(clock.stands());
    assert!(clock.stages.iter().all(|s| s.status == StageStatus::Never && s.plain.is_none()), "{:?}", clock.stages);
}

#[test]
fn a_clock_that_stood_when_the_resin_was_warm_keeps_to_the_bench() {
    // Warm for the first hour, then below the floor of 13 °C, then warm again: the demould is the bench's own.
    let (mut story, batch) = layer(20.0, 20.0);
    for (minute, celsius) in [(60, 20.0), (61, 12.0), (600, 12.0), (601, 20.0)] {
        story.read(minute, celsius);
    }
    let clock = clock(&story.log(), batch, 610);
    assert!(minutes(&clock, Stage::Demould).0 > 601.0);
}

#[test]
fn how_hot_it_gets_is_told() {
    let (story, batch) = layer(20.0, 20.0);
    let own = clock(&story.log(), batch, 0).own_heat.unwrap();
    assert!(own.place == HeatPlace::Layer && own.peak_c > 25.0 && own.peak_at > at(20), "{own:?}");
    let peak = own.celsius_at(own.peak_at).unwrap();
    assert!((peak - own.peak_c).abs() < 0.5, "{peak} {}", own.peak_c);
    assert!((own.celsius_at(at(0)).unwrap() - 20.0).abs() < 0.5);
    let calm = own.calm_at().unwrap() + jiff::SignedDuration::from_secs(1);
    assert_eq!((own.celsius_at(at(-1)), own.celsius_at(calm)), (None, None));
    assert!((own.limit.get() - 65.0).abs() < 1e-12, "the profile's");
}

#[test]
fn a_cup_has_the_pot_life_of_its_mass() {
    // The profile's pot life is that of 100 g at 23 °C, 25 minutes.
    let of = |mass: f64| {
        let mut story = Story::new();
        story.read(-60, 23.0);
        let batch = story.mix_as(0, "coating-epoxy", |mix| mix.resin = grams(mass));
        clock(&story.log(), batch, 0)
    };
    let (small, large) = (of(6.0), of(600.0));
    let [(late, _), (soon, plain)] = [&small, &large].map(|clock| minutes(clock, Stage::PotLife));
    assert!((late - 25.0).abs() < 0.01, "a small cup promises no more than the label: {late}");
    assert!(soon < 24.0 && plain == Some(25.0), "{soon} {plain:?}");
    assert!(minutes(&large, Stage::Gel) == minutes(&small, Stage::Gel), "nobody knows where it is poured");
    let too_hot = |clock: &BatchForecast| match clock.own_heat.as_ref().unwrap().place {
        HeatPlace::Cup { too_hot_at } => too_hot_at,
        HeatPlace::Layer => None,
    };
    assert!(too_hot(&large).unwrap() > at(15) && too_hot(&large).unwrap() < at(30));
    let mut story = Story::at_20_c();
    let cool = story.mix_as(0, "deep-pour-epoxy", |mix| mix.resin = grams(20.0));
    assert_eq!(too_hot(&clock(&story.log(), cool, 0)), None);
}

#[test]
fn no_stage_comes_before_one_that_it_proves_and_no_window_is_longer_than_the_profile_says() {
    for (name, depth_mm) in
        [("coating-epoxy", 20.0), ("fast-urethane", 5.0), ("clear-polyester", 4.0), ("slow-epoxy", 30.0)]
    {
        let mut story = Story::at_20_c();
        let batch = story.mix_as(0, name, |mix| mix.depth = mm(depth_mm));
        let clock = clock(&story.log(), batch, 0);
        let likely = |stage| clock.stage(stage).map(|_| minutes(&clock, stage));
        for stage in &clock.stages {
            let earlier = clock.stages.iter().filter(|earlier| stage.stage.implies(earlier.stage));
            for earlier in earlier.filter(|earlier| earlier.stage != Stage::PotLife) {
                assert!(stage.band.likely >= earlier.band.likely, "{name}: {} before {}", stage.stage, earlier.stage);
            }
        }
        let window = likely(Stage::NextLayerOpens).zip(likely(Stage::NextLayerCloses));
        if let Some(((opens, plain_opens), (closes, plain_closes))) = window {
            let longest = plain_closes.unwrap_or(closes) - plain_opens.unwrap_or(opens);
            assert!(closes - opens <= longest + 1.0, "{name}: {opens} to {closes}, not over {longest}");
        }
    }
}

#[test]
fn layers_of_a_piece_warm_each_other() {
    let mut story = dish();
    let first = pour(&mut story, 0, 1, 20.0);
    let second = pour(&mut story, 60, 2, 20.0);
    let log = story.log();
    let alone = {
        let (mut story, _) = layer(20.0, 20.0);
        let batch = story.mix_as(60, "clear-polyester", |mix| mix.depth = mm(20.0));
        let log = story.log();
        clock(&log, batch, 60).own_heat.unwrap().peak_c
    };
    let peaks = [first, second].map(|batch| clock(&log, batch, 60).own_heat.unwrap().peak_c);
    assert!(peaks[1] > peaks[0] + 1.0 && peaks[1] > alone, "{peaks:?} {alone}");
}

#[test]
fn what_is_planned_is_what_comes_of_it() {
    let mut story = dish();
    pour(&mut story, 0, 1, 20.0);
    let part = Part::Layer { piece: PieceId(1), layer: 2 };
    let mix = NewMix {
        material: material("clear-polyester"),
        label: PlainText::default(),
        resin: grams(328.44),
        dose: Dose::Usual,
        depth: None,
        onto: None,
        part: Some(part),
        at: at(60),
    };
    let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, at(60));
    bench.handle(Event::Entries(story.entries().to_vec()), at(60));
    let planned = bench.planned(&mix, at(60)).unwrap();
    let batch = story.mix_as(60, "clear-polyester", |mix| {
        (mix.part, mix.resin, mix.dose) = (Some(part), grams(328.44), crate::units::DosePercent::new(1.0).ok());
    });
    let poured = clock(&story.log(), batch, 60);
    for stage in [Stage::PotLife, Stage::Gel, Stage::Demould] {
        let (planned, poured) = (minutes(&planned, stage).0, minutes(&poured, stage).0);
        assert!((planned - poured).abs() < 0.1, "{stage} {planned} {poured}");
    }
}

#[test]
fn told_bit_by_bit_it_is_the_same_as_told_at_once() {
    let mut story = dish();
    pour(&mut story, 0, 1, 20.0);
    for minute in 1..12 {
        story.read(minute * 5, 20.0 - 0.1 * minute as f64);
    }
    let second = pour(&mut story, 58, 2, 10.0);
    for minute in 12..30 {
        story.read(minute * 5, 20.0 - 0.1 * minute as f64);
    }
    let (mut log, mut book) = (Log::default(), HeatBook::default());
    for stored in story.entries() {
        log.apply(stored.clone());
        book.follow(&log);
    }
    let (bits, once) = (book.get(second).unwrap(), HeatBook::of(&log).get(second).unwrap().clone());
    assert!((bits.peak_c - once.peak_c).abs() < 0.1, "{} {}", bits.peak_c, once.peak_c);
    for stage in [Stage::PotLife, Stage::Gel, Stage::Demould] {
        let (bits, once) = (bits.stage_h(stage).unwrap(), once.stage_h(stage).unwrap());
        assert!((bits - once).abs() < 0.005, "{stage} {bits} {once}");
    }
}

#[test]
fn an_undone_pour_leaves_no_heat() {
    let mut story = dish();
    let first = pour(&mut story, 0, 1, 20.0);
    let alone = clock(&story.log(), first, 60).own_heat.unwrap();
    let (mut log, mut book) = (story.log(), HeatBook::default());
    book.follow(&log);
    pour(&mut story, 60, 2, 20.0);
    let mixed = story.entries().last().unwrap().id;
    story.undo(61, mixed);
    for stored in story.entries() {
        log.apply(stored.clone());
        book.follow(&log);
    }
    assert_eq!(book.get(first), Some(&alone));
}

#[test]
fn what_has_no_known_heat_or_no_known_size_keeps_its_plain_clock() {
    let mut story = Story::at_20_c();
    let putty = story.mix_as(0, "epoxy-putty", |mix| mix.depth = mm(5.0));
    let bare = story.mix(0, "clear-polyester");
    let log = story.log();
    for batch in [putty, bare] {
        let clock = clock(&log, batch, 1);
        assert!(clock.own_heat.is_none() && clock.stages.iter().all(|stage| stage.plain.is_none()), "{clock:?}");
    }
}

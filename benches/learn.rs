//! What learning costs: fits of five thousand invented looks, and every past batch of a season foretold from those before it.
#![expect(clippy::expect_used, reason = "a bench that cannot set itself up has nothing to measure")]

use divan::{Bencher, black_box};
use jiff::{SignedDuration, Timestamp};
use nightpour::bench::{BatchId, Entry, EntryId, HeatBook, Log, Mix, Seen, Stored, Trust};
use nightpour::cure::{Knot, TemperatureCurve};
use nightpour::learn::{Look, PlainAsk, PlainLook, RuleForm, ShopFit, ShopModel, backtest, fit_plain};
use nightpour::material::{Catalogue, Item, Stage};
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Hours};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use std::sync::Arc;

fn main() {
    divan::main();
}

const LOOKS: usize = 5000;
const SEASON: u32 = 60;

fn polyester() -> Item {
    Catalogue::embedded().find("clear-polyester").expect("an embedded material").clone()
}

/// About 0.17 of spread: the mean of six even numbers is nearly normal.
fn noise(random: &mut StdRng) -> f64 {
    let sum: f64 = (0..6).map(|_| random.random_range(-0.5..0.5)).sum();
    0.24 * sum
}

/// A table of one stage at several temperatures and doses: brackets, open ends, and moments.
fn table() -> Vec<PlainLook> {
    let mut random = StdRng::seed_from_u64(5);
    let hours = |hours: f64| Hours::new(hours).ok();
    (0..LOOKS)
        .map(|i| {
            let celsius = 12.0 + (i % 9) as f64 * 2.0;
            let percent = [0.7, 1.0, 1.5, 2.0][i % 4];
            let t = 2.8 * 2.2f64.powf((25.0 - celsius) / 10.0) / percent * noise(&mut random).exp();
            let (after, by) = match i % 10 {
                0 => (None, hours(t * 1.2)),
                1 | 2 => (hours(t * 0.8), None),
                3 => (hours(t), hours(t)),
                _ => (hours(t * 0.9), hours(t * 1.1)),
            };
            let (celsius, dose) = (Celsius::new(celsius).expect("a temperature"), DosePercent::new(percent).ok());
            PlainLook { stage: Some(Stage::Gel), celsius, dose, after, by, count: 1 }
        })
        .collect()
}

#[divan::bench]
fn table_of_5000(bencher: Bencher<'_, '_>) {
    let looks = table();
    let ask = PlainAsk {
        form: RuleForm::Activation,
        reference: Celsius::new(25.0).expect("a temperature"),
        reference_dose: DosePercent::new(1.0).expect("a dose"),
        prior: false,
    };
    bencher.bench_local(|| fit_plain(black_box(&looks), &ask).expect("a fit"));
}

/// Looks of a shop along nights of readings every three minutes.
#[divan::bench]
fn shop_of_5000_along_nights(bencher: Bencher<'_, '_>) {
    let cure = polyester().profile.thermal().expect("a clock").clone();
    let mut random = StdRng::seed_from_u64(6);
    let nights: Vec<Arc<TemperatureCurve>> = (0..50)
        .map(|night| {
            let dusk = 16.0 + f64::from(night % 10);
            let knot = |i: u32| {
                let celsius = Celsius::new(dusk - 3.0 * f64::from(i) / 240.0).expect("a temperature");
                Knot { at_h: f64::from(i) * 0.05, celsius }
            };
            Arc::new(TemperatureCurve::new((0..240).map(knot).collect()).expect("a curve"))
        })
        .collect();
    let looks: Vec<Look> = (0..LOOKS)
        .map(|i| {
            let bench = nights[i % nights.len()].clone();
            let (stage, label_h) = [(Stage::Gel, 0.5), (Stage::NextLayerOpens, 0.92), (Stage::Demould, 7.0)][i % 3];
            let hours = 1.4 * label_h * 2f64.powf((20.0 - bench.at(0.0)) / 10.0) * noise(&mut random).exp();
            let dose = DosePercent::new([0.8, 1.0, 1.3][i % 3]).ok();
            let (after_h, by_h) = (Some(hours * 0.9), Some(hours * 1.1));
            Look { stage, after_h, by_h, bench, dose, own_heat: 0.0, guessed: false }
        })
        .collect();
    let model = ShopModel::of(&cure);
    bencher.bench_local(|| ShopFit::of(model.clone(), black_box(&looks)).expect("a fit"));
}

/// A season: sixty layers, each with a reading, a gel between two looks and an opening.
fn season() -> Vec<Stored> {
    let first: Timestamp = "2020-01-01T20:00:00Z".parse().expect("a time");
    let item = polyester();
    let profile = item.fingerprint.clone();
    let material = item.profile.id.clone();
    let mut random = StdRng::seed_from_u64(7);
    let mut entries = vec![(
        first,
        Entry::Profile { fingerprint: profile.clone(), material: material.clone(), toml: item.source.into_owned() },
    )];
    for number in 1..=SEASON {
        let start = first + SignedDuration::from_hours(i64::from(number) * 24);
        let after = |hours: f64| start + SignedDuration::from_secs_f64(hours * 3600.0);
        let celsius = 16.0 + f64::from(number % 9);
        let reading = Entry::Reading {
            celsius: Celsius::new(celsius).expect("a temperature"),
            humidity: None,
            source: PlainText::new("bench"),
        };
        entries.push((start, reading));
        let mix = Mix {
            material: material.clone(),
            profile: profile.clone(),
            label: PlainText::new("pond"),
            resin: Grams::new(80.0).ok(),
            dose: DosePercent::new(1.0).ok(),
            depth: None,
            onto: None,
            part: None,
        };
        entries.push((start, Entry::Mixed(mix)));
        let slower = 1.4 * 2f64.powf((20.0 - celsius) / 10.0);
        for (stage, label_h) in [(Stage::Gel, 0.5), (Stage::NextLayerOpens, 0.92)] {
            let hours = label_h * slower * noise(&mut random).exp();
            let seen = Seen::Between { after: after(hours * 0.9), by: after(hours * 1.1) };
            let (batch, test, trust, within) = (BatchId(number), None, Trust::Sure, None);
            entries.push((after(hours * 1.1), Entry::Observed { batch, stage, seen, test, trust, within }));
        }
        entries.push((after(10.0), Entry::Done { batch: BatchId(number) }));
    }
    (1..).zip(entries).map(|(id, (at, entry))| Stored { id: EntryId(id), happened: at, written: at, entry }).collect()
}

#[divan::bench]
fn backtest_of_sixty_batches(bencher: Bencher<'_, '_>) {
    let (log, item) = (Log::replay(season()), polyester());
    let cure = item.profile.thermal().expect("a clock");
    let heat = HeatBook::of_batches(&log, log.batches());
    bencher.bench_local(|| backtest(black_box(&log), &heat, &item.profile.id, cure).expect("a fit"));
}

/// The heat of sixty cups, which a fit asks for once.
#[divan::bench]
fn heat_of_sixty_batches(bencher: Bencher<'_, '_>) {
    let log = Log::replay(season());
    bencher.bench_local(|| HeatBook::of_batches(black_box(&log), log.batches()));
}

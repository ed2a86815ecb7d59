//! What a minute costs the bench: every clock computed anew along a night of readings.
#![expect(clippy::expect_used, reason = "a bench that cannot set itself up has nothing to measure")]

use divan::{Bencher, black_box};
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::bench::{Batch, Bench, Entry, EntryId, Event, HeatBook, Log, Mix, Part, PieceId, Stored, forecast};
use nightpour::heat::MaterialHeat;
use nightpour::material::Catalogue;
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Millimetres};

fn main() {
    divan::main();
}

/// Twelve hours of readings a minute apart.
const NIGHT: i64 = 720;
/// Generic materials with a temperature clock, two batches of each.
const MATERIALS: [&str; 4] = ["clear-polyester", "deep-pour-epoxy", "slow-epoxy", "coating-epoxy"];
const BATCHES: usize = 8;

/// Eight batches mixed at nightfall, and a night of readings from 23 down to 13 °C; invented.
fn night(depth: Option<Millimetres>) -> (Vec<Stored>, Timestamp) {
    let dusk: Timestamp = "2026-03-02T20:00:00Z".parse().expect("a time");
    let catalogue = Catalogue::embedded();
    let mut entries = Vec::new();
    for name in MATERIALS.iter().cycle().take(BATCHES) {
        let item = catalogue.find(name).expect("an embedded material");
        let material = item.profile.id.clone();
        let toml = item.source.clone().into_owned();
        entries
            .push((dusk, Entry::Profile { fingerprint: item.fingerprint.clone(), material: material.clone(), toml }));
        let mix = Mix {
            material,
            profile: item.fingerprint.clone(),
            label: PlainText::new("seedheads"),
            resin: Grams::new(80.0).ok(),
            dose: DosePercent::new(1.25).ok(),
            depth,
            onto: None,
            part: None,
        };
        entries.push((dusk, Entry::Mixed(mix)));
    }
    for minute in 0..NIGHT {
        let celsius = Celsius::new(23.0 - 10.0 * minute as f64 / NIGHT as f64).expect("a temperature");
        let reading = Entry::Reading { celsius, humidity: None, source: PlainText::new("bench") };
        entries.push((dusk + SignedDuration::from_mins(minute), reading));
    }
    let stored =
        (1..).zip(entries).map(|(id, (at, entry))| Stored { id: EntryId(id), happened: at, written: at, entry });
    (stored.collect(), dusk + SignedDuration::from_mins(NIGHT))
}

/// The forecasts of all eight clocks.
#[divan::bench]
fn eight_forecasts(bencher: Bencher<'_, '_>) {
    let (entries, dawn) = night(None);
    let log = Log::replay(entries);
    let running: Vec<&Batch> = log.running().collect();
    assert_eq!(running.len(), BATCHES);
    bencher.bench_local(|| {
        for batch in &running {
            black_box(forecast(batch, log.readings(), None, black_box(dawn)).expect("a material with a clock"));
        }
    });
}

/// Their heat, where they are layers of a known depth: calibrations included.
#[divan::bench]
fn heat_of_eight_layers(bencher: Bencher<'_, '_>) {
    let log = Log::replay(night(Millimetres::new(6.5).ok()).0);
    assert_eq!(log.running().filter(|batch| HeatBook::of(&log).get(batch.id).is_some()).count(), BATCHES);
    bencher.bench_local(|| HeatBook::of(black_box(&log)));
}

/// What of it is the calibration of the four materials.
#[divan::bench(args = MATERIALS)]
fn calibration(bencher: Bencher<'_, '_>, name: &str) {
    let item = Catalogue::embedded().find(name).expect("an embedded material").clone();
    bencher.bench_local(|| MaterialHeat::of(black_box(&item.profile)).expect("its heat is known"));
}

/// A whole minute's tick of the bench: forecasts, then alarms.
#[divan::bench]
fn tick_after_a_minute(bencher: Bencher<'_, '_>) {
    let (entries, dawn) = night(None);
    let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, dawn);
    bench.handle(Event::Entries(entries), dawn);
    assert_eq!(bench.running().filter(|(_, forecast)| forecast.is_some()).count(), BATCHES);
    let mut now = dawn;
    bencher.bench_local(|| {
        now += SignedDuration::from_mins(1);
        bench.handle(Event::Tick, now)
    });
}

/// Minutes from layer to layer.
const EVERY_HOUR_OR_SO: i64 = 75;
const ONE_A_DAY: i64 = 1440;

/// An invented dish of twelve layers of 4 mm, one poured every so many minutes, with a reading every minute until half an hour
/// after the last, and one more.
fn twelve_layers(every: i64) -> (Vec<Stored>, Stored) {
    let dusk: Timestamp = "2026-03-02T20:00:00Z".parse().expect("a time");
    let item = Catalogue::embedded().find("clear-polyester").expect("an embedded material").clone();
    let toml = "name = 'dish'\nmaterial = 'clear-polyester'\nfill_mm = 48\n\
                [vessel]\nshape = 'cylinder'\ndiameter_mm = 100\nheight_mm = 60\n";
    let (name, material) = (PlainText::new("dish"), item.profile.id.clone());
    let kept = Entry::Profile {
        fingerprint: item.fingerprint.clone(),
        material: material.clone(),
        toml: item.source.clone().into_owned(),
    };
    let mut entries =
        vec![(dusk, kept), (dusk, Entry::PieceStarted { name, toml: toml.to_owned(), meshes: Vec::new() })];
    let end = 11 * every + 30;
    for minute in 0..=end {
        let at = dusk + SignedDuration::from_mins(minute);
        if minute % every == 0 && minute < 12 * every {
            let layer = u32::try_from(minute / every + 1).expect("a few");
            entries.push((
                at,
                Entry::Mixed(Mix {
                    material: material.clone(),
                    profile: item.fingerprint.clone(),
                    label: PlainText::new("layer"),
                    resin: Grams::new(38.5).ok(),
                    dose: DosePercent::new(1.25).ok(),
                    depth: None,
                    onto: None,
                    part: Some(Part::Layer { piece: PieceId(1), layer }),
                }),
            ));
        }
        let celsius =
            Celsius::new(21.0 - 5.0 * minute as f64 / end as f64 + 0.2 * (minute % 3) as f64).expect("a temperature");
        entries.push((at, Entry::Reading { celsius, humidity: None, source: PlainText::new("bench") }));
    }
    let stored =
        (1..).zip(entries).map(|(id, (at, entry))| Stored { id: EntryId(id), happened: at, written: at, entry });
    let mut stored: Vec<Stored> = stored.collect();
    let last = stored.pop().expect("it was just put there");
    (stored, last)
}

/// The heat of a whole piece, worked out from nothing: at the start of the program.
#[divan::bench(args = [EVERY_HOUR_OR_SO, ONE_A_DAY])]
fn heat_of_twelve_layers(bencher: Bencher<'_, '_>, every: i64) {
    let log = Log::replay(twelve_layers(every).0);
    assert_eq!(log.running().filter(|batch| HeatBook::of(&log).get(batch.id).is_some()).count(), 12);
    bencher.bench_local(|| HeatBook::of(black_box(&log)));
}

/// The same after one more reading: what every minute costs.
#[divan::bench(args = [EVERY_HOUR_OR_SO, ONE_A_DAY])]
fn heat_of_twelve_layers_after_a_reading(bencher: Bencher<'_, '_>, every: i64) {
    let (entries, reading) = twelve_layers(every);
    let mut log = Log::replay(entries);
    let book = HeatBook::of(&log);
    log.apply(reading);
    bencher.with_inputs(|| book.clone()).bench_local_values(|mut book| book.follow(black_box(&log)));
}

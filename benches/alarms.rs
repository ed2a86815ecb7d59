//! From the moment an alarm is due until every channel has been handed it, with a thousand alarms pending, and what the
//! forecast of the room costs.

#![allow(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use divan::Bencher;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::alarm::Channels;
use nightpour::bench::{AlarmRules, Bench, Effect, Entry, EntryId, Event, Mix, Stored};
use nightpour::material::Catalogue;
use nightpour::settings::{ChannelSettings, CommandSettings, Reach, Settings};
use nightpour::text::PlainText;
use nightpour::units::Celsius;
use std::time::Duration;

fn main() {
    divan::main();
}

/// Six stages each.
const BATCHES: i64 = 170;

fn start() -> Timestamp {
    "2026-03-02T20:00:00Z".parse().unwrap()
}

fn c(celsius: f64) -> Celsius {
    Celsius::new(celsius).unwrap()
}

/// Batches a minute apart, and a reading every `every_min` for `days` before them, invented.
fn entries(days: i64, every_min: i64) -> Vec<Stored> {
    let catalogue = Catalogue::embedded();
    let item = catalogue.find("clear-polyester").unwrap();
    let kept = Entry::Profile {
        fingerprint: item.fingerprint.clone(),
        material: item.profile.id.clone(),
        toml: item.source.clone().into_owned(),
    };
    let readings = (0..=days * 24 * 60 / every_min).map(|n| {
        let at = start() - SignedDuration::from_hours(24 * days) + SignedDuration::from_mins(n * every_min);
        let hour = at.as_second() as f64 / 3600.0;
        let celsius = c(19.0 + 3.0 * ((hour - 15.0) / 24.0 * std::f64::consts::TAU).cos());
        (at, Entry::Reading { celsius, humidity: None, source: PlainText::new("bench") })
    });
    let mixes = (0..BATCHES).map(|n| {
        let mix = Mix {
            material: item.profile.id.clone(),
            profile: item.fingerprint.clone(),
            label: PlainText::new(&format!("pond {n}")),
            resin: None,
            dose: None,
            depth: None,
            onto: None,
            part: None,
        };
        (start() + SignedDuration::from_mins(n), Entry::Mixed(mix))
    });
    let all = [(start(), kept)].into_iter().chain(readings).chain(mixes).zip(1..);
    all.map(|((happened, entry), id)| Stored { id: EntryId(id), happened, written: happened, entry }).collect()
}

/// A bench on which something falls due at the moment that comes with it, all else being up to date.
fn about_to_ring() -> (Bench, Timestamp) {
    let opened = start() + SignedDuration::from_mins(BATCHES);
    let rules = AlarmRules { lead: SignedDuration::from_mins(15), ..AlarmRules::default() };
    let mut bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, opened).with_rules(rules);
    bench.handle(Event::Entries(entries(14, 5)), opened);
    let pending = bench.alarms().iter().filter(|a| !a.is_sounding() && !a.is_acknowledged());
    let due = pending.map(|alarm| alarm.due).min().unwrap();
    assert!(bench.alarms().len() > 900);
    bench.handle(Event::Tick, due - SignedDuration::from_millis(1));
    (bench, due)
}

#[divan::bench]
fn due_to_channel(bencher: Bencher<'_, '_>) {
    let (bench, due) = about_to_ring();
    let channels = ChannelSettings {
        bell: Some(Reach::default()),
        command: Some(CommandSettings {
            reach: Reach::default(),
            run: vec!["true".to_owned()],
            within: Duration::from_secs(5),
        }),
        ..ChannelSettings::none()
    };
    let settings = Settings { channels, ..Settings::default() };
    bencher.with_inputs(|| (bench.clone(), Channels::open(&settings, |_| ()))).bench_values(
        |(mut bench, mut channels)| {
            let mut rung = 0;
            for effect in bench.handle(Event::Tick, due) {
                if let Effect::Ring(notice) = effect {
                    channels.ring(&notice, due);
                    rung += 1;
                }
            }
            assert!(rung > 0);
        },
    );
}

/// One more reading, and all of it worked out anew: the forecast from fourteen past nights, 170 batches, their alarms.
#[divan::bench]
fn one_more_reading(bencher: Bencher<'_, '_>) {
    let (bench, due) = about_to_ring();
    let reading = Entry::Reading { celsius: c(17.0), humidity: None, source: PlainText::new("bench") };
    let id = EntryId(i64::MAX - 1);
    let news = Stored { id, happened: due, written: due, entry: reading };
    bencher
        .with_inputs(|| (bench.clone(), vec![news.clone()]))
        .bench_values(|(mut bench, news)| bench.handle(Event::Entries(news), due));
}

//! A month of virtual nights through the real watch, on a real notebook: nothing is lost, nothing rings after it was
//! acknowledged, and memory does not grow.
#![cfg(target_os = "linux")]
#![allow(clippy::unwrap_used, reason = "a panic is the failing test")]

use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::bench::{AlarmId, AlarmRules, Command, Dose, Event, NewMix, QuietHours};
use nightpour::clock::Clock;
use nightpour::material::{Catalogue, MaterialId};
use nightpour::notebook::Notebook;
use nightpour::settings::{ChannelSettings, Settings};
use nightpour::text::PlainText;
use nightpour::units::{Celsius, Grams, Millimetres};
use nightpour::vigil::{Left, Vigil, VigilOptions};
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};
use std::time::Duration;

const NIGHTS: i64 = 30;
const LAYERS: i64 = 6;

/// A clock that a test moves.
#[derive(Clone)]
struct Hands(Arc<Mutex<Timestamp>>);

impl Clock for Hands {
    fn now(&self) -> Timestamp {
        *self.0.lock().unwrap()
    }

    fn real_duration(&self, _: SignedDuration) -> Duration {
        Duration::ZERO
    }
}

/// The bench's temperature, invented: it swings by 3 °C each day, and is read every ten minutes.
fn celsius(at: Timestamp) -> Celsius {
    let hour = at.as_second() as f64 / 3600.0;
    Celsius::new(19.0 + 3.0 * ((hour - 15.0) / 24.0 * std::f64::consts::TAU).cos()).unwrap()
}

fn resident_kib() -> u64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find(|line| line.starts_with("VmRSS:")).unwrap();
    line.split_whitespace().nth(1).unwrap().parse().unwrap()
}

struct Month {
    vigil: Vigil,
    hands: Hands,
    rung: u64,
    /// When each alarm was acknowledged.
    answered: BTreeMap<AlarmId, Timestamp>,
}

impl Month {
    fn now(&self) -> Timestamp {
        self.hands.now()
    }

    fn look(&mut self, left: Vec<Left>) {
        let mut ring = Vec::new();
        for left in left {
            match left {
                Left::Rang { notice, .. } => ring.push(notice),
                Left::Say { line, refused: true } => panic!("refused: {line}"),
                _ => {}
            }
        }
        for notice in ring {
            self.rung += 1;
            let at = self.now();
            let late = at.duration_since(notice.due);
            let answered = self.answered.get(&notice.alarm).copied();
            assert!(
                answered.is_none_or(|answered| notice.due > answered + SignedDuration::from_mins(5)),
                "{:?} was acknowledged at {answered:?} and rings at {at}, due {}",
                notice.alarm,
                notice.due
            );
            assert!(
                !notice.first || late <= SignedDuration::from_secs(2) || rests(at, notice.due),
                "{late:?} late: {notice:?}"
            );
            // Every third ring is answered by nobody, and rings again.
            if !self.rung.is_multiple_of(3) {
                self.answered.insert(notice.alarm, at);
                let left = self.vigil.handle(Event::Command(Command::Acknowledge { alarm: notice.alarm }), at);
                self.look(left);
            }
        }
    }

    fn tell(&mut self, command: Command) {
        let now = self.now();
        let left = self.vigil.handle(Event::Command(command), now);
        self.look(left);
    }

    /// Lets time pass, waking when the watch asks for it and every ten minutes for a reading.
    fn pass(&mut self, length: SignedDuration) {
        let end = self.now() + length;
        let mut reading = self.now();
        while self.now() < end {
            let next = self.vigil.next(self.now()).unwrap_or(Timestamp::MAX);
            let at = next.max(self.now() + SignedDuration::from_secs(1)).min(reading).min(end).max(self.now());
            *self.hands.0.lock().unwrap() = at;
            let (now, left) = self.vigil.now();
            self.look(left);
            if now >= reading {
                let source = PlainText::new("bench");
                self.tell(Command::Read { celsius: celsius(now), humidity: None, at: now, source });
                reading = now + SignedDuration::from_mins(10);
            }
            let left = self.vigil.pass_time(now);
            self.look(left);
        }
    }
}

/// Whether an alarm may have waited for the end of the quiet hours, or was moved into the past by a reading or a new batch.
fn rests(at: Timestamp, due: Timestamp) -> bool {
    let zoned = at.to_zoned_datetime(TimeZone::UTC);
    (zoned.hour(), zoned.minute()) == (6, 30) || at.duration_since(due) < SignedDuration::from_mins(10)
}

#[test]
fn a_month_of_nights() {
    let folder = tempfile::tempdir().unwrap();
    let start: Timestamp = "2026-03-02T19:00:00Z".parse().unwrap();
    let hands = Hands(Arc::new(Mutex::new(start)));
    let quiet = QuietHours { from: "22:30".parse().unwrap(), until: "06:30".parse().unwrap() };
    let settings = Settings {
        channels: ChannelSettings::none(),
        rules: AlarmRules { quiet: Some(quiet), lead: SignedDuration::from_mins(15), ..AlarmRules::default() },
        stay_awake: false,
        ..Settings::default()
    };
    let options = VigilOptions {
        clock: Box::new(hands.clone()),
        zone: TimeZone::UTC,
        catalogue: Catalogue::embedded(),
        notebook: Notebook::open(&folder.path().join("n.sqlite")).unwrap(),
        settings,
        reread: None,
        kind: Some("vigil"),
    };
    let (mut vigil, _) = Vigil::open(options, |_| ()).unwrap();
    vigil.start();
    let mut month = Month { vigil, hands, rung: 0, answered: BTreeMap::new() };
    let mut early_kib = 0;
    for night in 0..NIGHTS {
        for layer in 0..LAYERS {
            let mix = NewMix {
                material: MaterialId::new("clear-polyester").unwrap(),
                label: PlainText::new(&format!("pond, night {night}, layer {layer}")),
                // The heat of one night in five is followed: a month of it is another test's.
                resin: Grams::new(60.0).ok().filter(|_| night % 5 == 0),
                dose: Dose::Usual,
                depth: Millimetres::new(8.0).ok().filter(|_| night % 5 == 0),
                onto: (layer > 0).then(|| month.vigil.bench().log().batches().next_back().unwrap().id),
                part: None,
                at: month.now(),
            };
            month.tell(Command::Mix(mix));
            month.pass(SignedDuration::from_mins(75));
        }
        month.pass(SignedDuration::from_hours(24) - SignedDuration::from_mins(75 * LAYERS));
        let running: Vec<_> = month.vigil.bench().log().running().map(|batch| batch.id).collect();
        for batch in running {
            month.tell(Command::Finish { batch });
        }
        // What an allocator keeps for later is there after some nights.
        if night == NIGHTS / 3 {
            early_kib = resident_kib();
        }
    }
    let grown = resident_kib().saturating_sub(early_kib);
    let entries = month.vigil.bench().log().last().0;
    println!(
        "figure: {NIGHTS} nights, {entries} entries, {} rings, {grown} KiB more after two thirds of them",
        month.rung
    );
    assert!(month.rung > 300, "{}", month.rung);
    // The log itself grows by about 400 bytes a reading: 20 nights of 144 are 1.2 MiB.
    assert!(grown < 8 * 1024, "{grown} KiB");
}

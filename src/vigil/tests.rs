//! The watch on a machine whose clocks a test moves.

use super::testing::{Machine, at};
use super::*;
use crate::bench::{BatchId, Dose, NewMix};
use crate::material::{MaterialId, Stage};
use crate::notebook::BEFORE_FIRST;
use crate::settings::ChannelSettings;

struct Night {
    vigil: Vigil,
    machine: Machine,
    _folder: tempfile::TempDir,
}

impl Night {
    fn begin() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let machine = Machine::default();
        let options = VigilOptions {
            clock: Box::new(machine.clone()),
            zone: TimeZone::UTC,
            catalogue: Catalogue::embedded(),
            notebook: Notebook::open(&folder.path().join("n.sqlite")).unwrap(),
            settings: Settings { channels: ChannelSettings::none(), stay_awake: false, ..Settings::default() },
            reread: None,
            kind: Some("vigil"),
        };
        let (mut vigil, _) = Vigil::open(options, |_| ()).unwrap();
        vigil.start();
        let mut night = Self { vigil, machine, _folder: folder };
        let (now, _) = night.vigil.now();
        let material = MaterialId::new("clear-polyester").unwrap();
        let label = PlainText::new("pond");
        let mix =
            NewMix { material, label, resin: None, dose: Dose::Usual, depth: None, onto: None, part: None, at: now };
        night.vigil.handle(Event::Command(Command::Mix(mix)), now);
        night
    }

    /// Wakes up now, as the loop does.
    fn wake(&mut self) -> Vec<Left> {
        let (now, mut left) = self.vigil.now();
        left.extend(self.vigil.pass_time(now));
        left
    }

    fn entries(&self) -> Vec<Entry> {
        let entries = self.vigil.session().notebook().read_after(BEFORE_FIRST).unwrap().entries;
        entries.into_iter().map(|stored| stored.entry).collect()
    }
}

fn rang(left: &[Left]) -> Vec<(AlarmId, String)> {
    let rang = |left: &Left| match left {
        Left::Rang { notice, .. } => Some((notice.alarm, notice.detail.to_string())),
        _ => None,
    };
    left.iter().filter_map(rang).collect()
}

#[test]
fn what_fell_due_in_a_sleep_of_eight_hours_sounds_at_once_as_missed() {
    let mut night = Night::begin();
    night.machine.pass(300);
    night.wake();
    night.machine.sleep(8 * 3600);
    let left = night.wake();
    let opens = AlarmId::of(BatchId(1), Stage::NextLayerOpens);
    let told = rang(&left);
    assert!(told.iter().any(|(alarm, words)| *alarm == opens && words.starts_with("missed, due ")), "{told:?}");
    let said = |left: &Left| matches!(left, Left::Say { line, .. } if line.as_str() == "the machine slept for 8 h: nothing could ring");
    assert!(left.iter().any(said), "{left:?}");
    assert!(night.entries().contains(&Entry::Slept { from: at(300) }));
}

#[test]
fn a_clock_that_is_set_rings_nothing_and_delays_nothing() {
    for by in [3600, -3600, 86_400, -86_400] {
        let mut night = Night::begin();
        night.machine.pass(600);
        night.wake();
        night.machine.set(by);
        night.machine.pass(1);
        assert_eq!(rang(&night.wake()), [], "{by}");
        let set = |entry: &Entry| matches!(entry, Entry::ClockSet { .. });
        assert_eq!(night.entries().into_iter().filter(set).count(), 1);
        // The pot life ends where it would have ended: nothing a second before, the alarm at that second.
        let mut elapsed = 601;
        let first = loop {
            night.machine.pass(1);
            elapsed += 1;
            let told = rang(&night.wake());
            if !told.is_empty() {
                break told;
            }
            assert!(elapsed < 3600, "{by}: nothing rings");
        };
        let mut even = Night::begin();
        even.machine.pass(elapsed - 1);
        assert_eq!(rang(&even.wake()), [], "{by}");
        even.machine.pass(1);
        assert_eq!(rang(&even.wake()).first().map(|(alarm, _)| *alarm), first.first().map(|(alarm, _)| *alarm), "{by}");
    }
}

#[test]
fn a_clock_that_is_set_while_the_machine_sleeps_is_told_apart_from_the_sleep() {
    let mut night = Night::begin();
    night.machine.pass(300);
    night.wake();
    night.machine.sleep(300);
    night.machine.set(-3600);
    let left = night.wake();
    assert_eq!(rang(&left), [], "ten minutes have passed");
    assert!(
        night.entries().iter().any(|entry| matches!(entry, Entry::ClockSet { by_us, .. } if *by_us == -3_600_000_000))
    );
    assert!(night.entries().iter().any(|entry| matches!(entry, Entry::Slept { .. })));
}

#[test]
fn settings_that_change_are_followed_and_bad_ones_are_told_once() {
    use std::sync::Mutex;
    let mut night = Night::begin();
    let answer: Arc<Mutex<Result<Settings, String>>> = Arc::new(Mutex::new(Err("a slip".to_owned())));
    let read = Arc::clone(&answer);
    night.vigil.reread = Some(Box::new(move || read.lock().unwrap().clone()));
    let said = |left: &[Left]| {
        let line = |left: &Left| if let Left::Say { line, .. } = left { Some(line.to_string()) } else { None };
        left.iter().filter_map(line).collect::<Vec<_>>()
    };
    night.machine.pass(61);
    assert_eq!(said(&night.wake()), ["a slip; those read before go on"]);
    night.machine.pass(61);
    assert_eq!(said(&night.wake()), [""; 0]);
    let rules = crate::bench::AlarmRules { lead: SignedDuration::from_mins(50), ..Default::default() };
    let settings =
        Settings { rules, fingerprint: "other".to_owned(), channels: ChannelSettings::none(), ..Settings::default() };
    *answer.lock().unwrap() = Ok(settings);
    night.machine.pass(400);
    let left = night.wake();
    assert_eq!(said(&left), ["your settings were read anew"]);
    // A word fifty minutes ahead of what comes in 55.
    let ahead = AlarmId::of(BatchId(1), Stage::NextLayerOpens).at_phase(crate::bench::Phase::Ahead);
    assert!(rang(&left).iter().any(|(alarm, _)| *alarm == ahead), "{left:?}");
    assert_eq!(night.vigil.session().notebook().watcher().unwrap().unwrap().settings, "other");
}

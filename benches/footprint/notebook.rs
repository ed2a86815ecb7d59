//! A notebook for the program to run on: readings a minute apart, and eight batches poured through the last evening.
//! All of it invented.

use jiff::{SignedDuration, Timestamp, tz::TimeZone};
use nightpour::bench::{AlarmId, BatchId, Bench, Entry, Mix, NewEntry, Seen, Tonight, Trust};
use nightpour::clock::{Clock, SystemClock};
use nightpour::material::{Catalogue, MaterialId, Stage};
use nightpour::notebook::{Notebook, NotebookError};
use nightpour::session::Session;
use nightpour::text::PlainText;
use nightpour::units::{Celsius, DosePercent, Grams, Millimetres, Percent};
use std::error::Error;
use std::path::{Path, PathBuf};

const BATCHES: u32 = 8;
/// The label of the batch poured last; once the screen shows it, the notebook has been read and drawn.
pub const LAST_LABEL: &str = "pond, layer 8";
/// No alarm falls due sooner than this, so that nothing rings while the screen is watched.
const QUIET: SignedDuration = SignedDuration::from_hours(3);
/// A countdown from here shows seconds for as long as the screen is watched.
const COUNTED: SignedDuration = SignedDuration::from_mins(55);

/// What the big digits show.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counting {
    /// Hours and minutes: the next alarm is more than an hour away.
    Minutes,
    /// Minutes and seconds.
    Seconds,
}

impl Counting {
    pub fn words(self) -> &'static str {
        match self {
            Counting::Minutes => "counting minutes",
            Counting::Seconds => "counting seconds",
        }
    }
}

/// Makes a notebook of `entries` entries (at least a few dozen) in `folder`.
pub fn make(folder: &Path, entries: usize, counting: Counting) -> Result<PathBuf, Box<dyn Error>> {
    let path = folder.join("notebook.sqlite");
    let now = SystemClock.now();
    let mut notebook = Notebook::open(&path)?;
    let work = pour(now)?;
    let readings = entries.saturating_sub(work.len() + ANSWERS);
    let mut all: Vec<NewEntry> = (0..readings).map(|i| reading(readings - i, now)).collect::<Result<_, _>>()?;
    all.extend(work);
    notebook.append(&all, now)?;
    drop(notebook);
    answer(&path, counting, now)?;
    Ok(path)
}

/// About how many entries [`answer`] writes.
const ANSWERS: usize = 24;

/// Eight batches, one every half hour until now, and what was seen of them.
fn pour(now: Timestamp) -> Result<Vec<NewEntry>, Box<dyn Error>> {
    let catalogue = Catalogue::embedded();
    let names = ["clear-polyester", "deep-pour-epoxy", "slow-epoxy", "coating-epoxy"];
    let items = names.map(|name| catalogue.find(name));
    // Held, so that no forecast brings an alarm into the hour in which seconds are counted.
    let mut entries = vec![NewEntry { happened: now, entry: Entry::Tonight(Tonight::Held) }];
    for (number, item) in (1..=BATCHES).zip(items.iter().cycle()) {
        let item = item.as_ref().map_err(ToString::to_string)?;
        let happened = now - SignedDuration::from_mins(30) * i32::try_from(BATCHES + 1 - number)?;
        let material: MaterialId = item.profile.id.clone();
        let toml = item.source.clone().into_owned();
        let kept = Entry::Profile { fingerprint: item.fingerprint.clone(), material: material.clone(), toml };
        let mixed = Entry::Mixed(Mix {
            material,
            profile: item.fingerprint.clone(),
            label: PlainText::new(&format!("pond, layer {number}")),
            resin: Some(Grams::new(80.0)?),
            dose: Some(DosePercent::new(1.25)?),
            depth: Some(Millimetres::new(6.5)?),
            onto: None,
            part: None,
        });
        entries.extend([kept, mixed].map(|entry| NewEntry { happened, entry }));
        let at = happened + SignedDuration::from_mins(10);
        let looked = Entry::Observed {
            batch: BatchId(number),
            stage: Stage::Gel,
            seen: Seen::NotYet { at },
            test: None,
            trust: Trust::Sure,
            within: None,
        };
        entries.push(NewEntry { happened: at, entry: looked });
    }
    Ok(entries)
}

/// The reading of `minutes` ago: 14 to 22 °C through each day.
fn reading(minutes: usize, now: Timestamp) -> Result<NewEntry, Box<dyn Error>> {
    let hours = minutes as f64 / 60.0;
    let entry = Entry::Reading {
        celsius: Celsius::new(18.0 + 4.0 * (hours * std::f64::consts::TAU / 24.0).cos())?,
        humidity: Some(Percent::new(55.0)?),
        source: PlainText::new("bench"),
    };
    Ok(NewEntry { happened: now - SignedDuration::from_mins(i64::try_from(minutes)?), entry })
}

/// Answers every alarm that would fall due soon. To count seconds, one of them is snoozed instead.
fn answer(path: &Path, counting: Counting, now: Timestamp) -> Result<(), NotebookError> {
    let bench = Bench::new(Catalogue::embedded(), TimeZone::UTC, now);
    let (session, _) = Session::open(bench, Notebook::open(path)?, now)?;
    let mut soon: Vec<AlarmId> =
        session.bench().alarms().iter().filter(|alarm| alarm.due <= now + QUIET).map(|alarm| alarm.id).collect();
    let snoozed = soon.pop_if(|_| counting == Counting::Seconds);
    let snooze = snoozed.map(|alarm| Entry::Snoozed { alarm, until: now + COUNTED });
    let acknowledge = soon.into_iter().map(|alarm| Entry::Acknowledged { alarm });
    let answers: Vec<NewEntry> = acknowledge.chain(snooze).map(|entry| NewEntry { happened: now, entry }).collect();
    Notebook::open(path)?.append(&answers, now).map(drop)
}

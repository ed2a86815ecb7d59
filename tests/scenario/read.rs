//! Reads a scenario: the script by the program's own reader, the rest here.
#![expect(clippy::expect_used, reason = "test support: a panic is the failing test")]

use jiff::civil::Time;
use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};
use nightpour::bench::{BatchId, StageStatus};
use nightpour::material::Stage;
use nightpour::rehearsal::{Script, read_script};
use nightpour::strict::{Field, Key, Mistake, Problem, Reported, Spanned, Table, read};
use nightpour::when::Written;

const ZONE: Key = Key::new("zone", "\"CET-1CEST,M3.5.0,M10.5.0/3\"");
const AWAY: Key = Key::new("away", "[[away]]");
const FROM: Key = Key::new("from", "\"22:00\"");
const TO: Key = Key::new("to", "\"23:30\"");
const HOW: Key = Key::new("how", "\"closed\"");
const CLOCK: Key = Key::new("clock", "[[clock]]");
const BACK: Key = Key::new("back", "\"1h\"");
const EXPECT: Key = Key::new("expect", "[[expect]]");
const AT: Key = Key::new("at", "\"22:05\"");
const BATCH: Key = Key::new("batch", "1");
const STAGE: Key = Key::new("stage", "\"gel\"");
const RUNNING: Key = Key::new("running", "\"yes\"");
const STATUS: Key = Key::new("status", "\"near\"");
const LIKELY: Key = Key::new("likely", "\"22:30\"");
const EARLY: Key = Key::new("early", "\"22:20\"");
const LATE: Key = Key::new("late", "\"22:45\"");
const PLAIN: Key = Key::new("plain", "\"22:41\"");
const REACHED: Key = Key::new("reached_at", "\"22:31\"");
const ALARM: Key = Key::new("alarm", "\"sounding\"");
const RINGS: Key = Key::new("rings", "3");
const HEARD: Key = Key::new("heard", "\"ring 3\"");
const BENCH_C: Key = Key::new("bench_c", "18.5");
const AGE_H: Key = Key::new("age_h", "0.75");
const STANDS: Key = Key::new("stands", "\"no\"");
const REFUSED: Key = Key::new("refused", "\"ahead of the clock\"");
const SAID: Key = Key::new("said", "\"over the profile's\"");

pub struct Scenario {
    pub script: Script,
    /// What the bench shows times in.
    pub zone: TimeZone,
    pub away: Vec<Away>,
    pub clock: Vec<ClockChange>,
    pub expects: Vec<Expect>,
}

#[derive(Clone, Copy)]
pub struct Away {
    pub from: Timestamp,
    pub to: Timestamp,
    pub closed: bool,
}

#[derive(Clone, Copy)]
pub struct ClockChange {
    pub at: Timestamp,
    pub back: SignedDuration,
}

pub struct Expect {
    pub line: usize,
    pub at: Timestamp,
    pub batch: BatchId,
    pub checks: Vec<Check>,
}

/// One thing that must hold.
pub enum Check {
    Running(bool),
    BenchC(f64),
    AgeH(f64),
    Stands(bool),
    Refused(String),
    Said(String),
    Of(Stage, StageCheck),
}

/// One thing that must hold of a stage.
pub enum StageCheck {
    Status(StageStatus),
    Time(WhichTime, Wanted),
    Alarm(&'static str),
    Rings(f64),
    Heard(String),
}

#[derive(Debug, Clone, Copy)]
pub enum WhichTime {
    Early,
    Likely,
    Late,
    Plain,
    Reached,
}

pub enum Wanted {
    Never,
    At(Written),
}

/// The scenario a file holds, or what is wrong with the file.
pub fn read_scenario(source: &str) -> Result<Scenario, String> {
    let scenario = read(source, |top| scenario(source, top)).map_err(|problems| {
        let words =
            problems.iter().map(|p| format!("line {}: {}; {}", line_of(source, p.span.start), p.what, p.remedy));
        words.collect::<Vec<_>>().join("\n")
    })?;
    Ok(scenario.value)
}

fn line_of(source: &str, byte: usize) -> usize {
    source[..byte].matches('\n').count() + 1
}

fn scenario(source: &str, top: &mut Table<'_>) -> Result<Scenario, Reported> {
    let script = read_script(top)?;
    let zone = top.optional(ZONE, |f| f.parsed(posix_zone))?.map_or(script.zone.clone(), Spanned::into_inner);
    let night = |from| Night { zone: script.zone.clone(), last: from };
    let mut absence = night(script.starts);
    let away = top.optional(AWAY, |f| f.tables(|table| away(table, &mut absence)))?.unwrap_or_default();
    let mut changes = night(script.starts);
    let clock = top.optional(CLOCK, |f| f.tables(|table| clock_change(table, &mut changes)))?.unwrap_or_default();
    let mut moments = night(script.starts);
    let expects = top.required(EXPECT, |f| {
        f.tables(|table| {
            let expect = expect(source, table, &mut moments)?;
            if expect.at <= script.ends {
                return Ok(expect);
            }
            let what = "this would be after the script's end";
            Err(table.report(Problem::new(table.span(), what, None, "put the expectations in the order of time")))
        })
    })?;
    Ok(Scenario { script, zone, away, clock, expects })
}

/// Times of one list, each the first such moment at or after the one before.
struct Night {
    zone: TimeZone,
    last: Timestamp,
}

impl Night {
    fn moment(&mut self, field: Field<'_>) -> Result<Timestamp, Reported> {
        let clock = field.parsed(|text| {
            text.parse::<Time>().map_err(|_| Mistake {
                what: "that is no clock time".to_owned(),
                remedy: "write hours and minutes, as in \"23:40\"".to_owned(),
            })
        })?;
        self.last = first_from(self.last, clock.into_inner(), &self.zone);
        Ok(self.last)
    }
}

/// The first moment from `from` on at which the clocks of `zone` show `clock`.
pub fn first_from(from: Timestamp, clock: Time, zone: &TimeZone) -> Timestamp {
    let day = from.to_zoned_datetime(zone.clone()).date();
    let days = [day, day.checked_add(1.day()).expect("a day of these years")];
    let moments = days.map(|day| zone.to_timestamp(day.to_datetime(clock)).expect("a time of these years"));
    moments.into_iter().find(|at| *at >= from).expect("every day has every clock time")
}

fn posix_zone(text: &str) -> Result<TimeZone, Mistake> {
    let remedy = format!("write it in the POSIX form, as in {ZONE}");
    TimeZone::posix(text).map_err(|error| Mistake { what: error.to_string(), remedy })
}

fn away(table: &mut Table<'_>, night: &mut Night) -> Result<Away, Reported> {
    let from = table.required(FROM, |f| night.moment(f))?;
    let to = table.required(TO, |f| night.moment(f))?;
    let closed = table.required(HOW, |f| f.choice(&[("closed", true), ("asleep", false)]))?.into_inner();
    Ok(Away { from, to, closed })
}

fn clock_change(table: &mut Table<'_>, night: &mut Night) -> Result<ClockChange, Reported> {
    let at = table.required(AT, |f| night.moment(f))?;
    let back = table.required(BACK, Field::duration)?.into_inner();
    Ok(ClockChange { at, back: SignedDuration::try_from(back).expect("at most ten years") })
}

fn expect(source: &str, table: &mut Table<'_>, night: &mut Night) -> Result<Expect, Reported> {
    let line = line_of(source, table.span().start);
    let at = table.required(AT, |f| night.moment(f))?;
    let batch = BatchId(table.optional(BATCH, Field::count)?.map_or(1, Spanned::into_inner));
    let stage = table.optional(STAGE, |f| f.parsed(stage))?.map(Spanned::into_inner);
    let mut checks = stage_checks(table)?
        .into_iter()
        .map(|check| stage.map(|stage| Check::Of(stage, check)).ok_or_else(|| table.missing(STAGE)))
        .collect::<Result<Vec<_>, _>>()?;
    let text = |f: Field<'_>| Ok(f.text()?.into_inner().to_string());
    checks.extend(table.optional(RUNNING, yes)?.map(Check::Running));
    checks.extend(table.optional(BENCH_C, Field::number)?.map(|c| Check::BenchC(c.into_inner())));
    checks.extend(table.optional(AGE_H, Field::number)?.map(|h| Check::AgeH(h.into_inner())));
    checks.extend(table.optional(STANDS, yes)?.map(Check::Stands));
    checks.extend(table.optional(REFUSED, text)?.map(Check::Refused));
    checks.extend(table.optional(SAID, text)?.map(Check::Said));
    if checks.is_empty() {
        return Err(table.missing(STATUS));
    }
    Ok(Expect { line, at, batch, checks })
}

fn stage_checks(table: &mut Table<'_>) -> Result<Vec<StageCheck>, Reported> {
    let statuses = [
        ("ahead", StageStatus::Ahead),
        ("near", StageStatus::Near),
        ("past", StageStatus::Past),
        ("seen", StageStatus::Seen),
        ("never", StageStatus::Never),
    ];
    let alarms = ["none", "pending", "sounding", "missed", "snoozed", "acknowledged"].map(|word| (word, word));
    let mut checks = Vec::new();
    checks.extend(table.optional(STATUS, |f| f.choice(&statuses))?.map(|s| StageCheck::Status(s.into_inner())));
    let times = [
        (LIKELY, WhichTime::Likely),
        (EARLY, WhichTime::Early),
        (LATE, WhichTime::Late),
        (PLAIN, WhichTime::Plain),
        (REACHED, WhichTime::Reached),
    ];
    for (key, which) in times {
        let wanted = table.optional(key, |f| f.parsed(wanted))?;
        checks.extend(wanted.map(|wanted| StageCheck::Time(which, wanted.into_inner())));
    }
    checks.extend(table.optional(ALARM, |f| f.choice(&alarms))?.map(|a| StageCheck::Alarm(a.into_inner())));
    checks.extend(table.optional(RINGS, Field::number)?.map(|n| StageCheck::Rings(n.into_inner())));
    checks.extend(table.optional(HEARD, Field::text)?.map(|t| StageCheck::Heard(t.into_inner().to_string())));
    Ok(checks)
}

fn yes(field: Field<'_>) -> Result<bool, Reported> {
    Ok(field.choice(&[("yes", true), ("no", false)])?.into_inner())
}

fn stage(text: &str) -> Result<Stage, Mistake> {
    text.parse().map_err(|error: nightpour::material::UnknownStage| Mistake {
        what: "that is no stage".to_owned(),
        remedy: error.to_string(),
    })
}

fn wanted(text: &str) -> Result<Wanted, Mistake> {
    if text == "never" {
        return Ok(Wanted::Never);
    }
    Written::read(text)
        .map(Wanted::At)
        .map_err(|error| Mistake { what: "that is neither a time nor \"never\"".to_owned(), remedy: error.to_string() })
}

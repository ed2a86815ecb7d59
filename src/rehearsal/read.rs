//! Reads a script file.
//!
//! ```toml
//! title = "A pond in two layers"
//! starts = "2026-03-02T19:00:00+01:00"   # its offset is the bench's time zone
//! ends = "07:00"
//!
//! [[step]]
//! at = "19:10"                           # the next such moment after the step before
//! do = "mix"                             # read, start, tick, pour, level, mix, see, acknowledge, snooze, finish, undo
//! when = "20m ago"                       # read, start, pour, level, mix, see: when it really happened, if not at that moment
//! material = "clear-polyester"
//! ```

use super::script::{Script, Step};
use crate::bench::{AlarmId, BatchId, Command, Dose, EntryId, NewMix, Seen, Trust};
use crate::material::{MaterialId, Stage};
use crate::strict::{Field, Key, Mistake, Problem, Reported, Spanned, Table};
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams, Hours, Millimetres, Percent};
use crate::when::parse_when;
use jiff::civil::Time;
use jiff::{SignedDuration, Timestamp, ToSpan, tz::TimeZone};

const TITLE: Key = Key::new("title", "\"A pond in two layers\"");
const STARTS: Key = Key::new("starts", "\"2026-03-02T19:00:00+01:00\"");
const ENDS: Key = Key::new("ends", "\"07:00\"");
const STEP: Key = Key::new("step", "[[step]]");
const AT: Key = Key::new("at", "\"19:10\"");
const DO: Key = Key::new("do", "\"mix\"");
const WHEN: Key = Key::new("when", "\"20m ago\"");
const CELSIUS: Key = Key::new("c", "20.5");
const HUMIDITY: Key = Key::new("humidity_percent", "48");
const SOURCE: Key = Key::new("source", "\"bench\"");
const MATERIAL: Key = Key::new("material", "\"clear-polyester\"");
const LABEL: Key = Key::new("label", "\"layer 1\"");
pub(super) const RESIN: Key = Key::new("resin_g", "80");
const DOSE: Key = Key::new("dose_percent", "1.0");
pub(super) const CATALYST: Key = Key::new("catalyst_g", "0.8");
const DEPTH: Key = Key::new("depth_mm", "10");
const ONTO: Key = Key::new("onto", "1");
const BATCH: Key = Key::new("batch", "1");
const STAGE: Key = Key::new("stage", "\"gel\"");
const HOW: Key = Key::new("how", "\"seen\"");
const SINCE: Key = Key::new("since", "\"19:40\"");
const TEST: Key = Key::new("test", "\"skewer\"");
const TRUST: Key = Key::new("trust", "\"guess\"");
const WITHIN: Key = Key::new("within", "\"5m\"");
const FOR: Key = Key::new("for", "\"10m\"");
const ENTRY: Key = Key::new("entry", "3");

#[derive(Debug, Clone, Copy)]
enum Do {
    Read,
    Start,
    Tick,
    Pour,
    Level,
    Mix,
    See,
    Acknowledge,
    Snooze,
    Finish,
    Undo,
}

#[derive(Debug, Clone, Copy)]
enum How {
    Seen,
    Already,
    NotYet,
}

/// Where in the night the file has got to.
pub(super) struct Night {
    zone: TimeZone,
    /// The moment of the step before.
    last: Timestamp,
}

/// Reads the script part of a file; further keys are the caller's.
pub fn read_script(top: &mut Table<'_>) -> Result<Script, Reported> {
    let title = top.required(TITLE, Field::text);
    let (starts, zone) = top.required(STARTS, |f| f.parsed(start))?.into_inner();
    let mut night = Night { zone, last: starts };
    let steps = top.optional(STEP, |f| f.tables(|table| step(table, &mut night)))?.unwrap_or_default();
    let ends = top.required(ENDS, |f| night.moment(f))?;
    Ok(Script::new(title?.into_inner().as_str().to_owned(), night.zone, starts, ends, steps))
}

fn start(text: &str) -> Result<(Timestamp, TimeZone), Mistake> {
    let mistake = || Mistake {
        what: "the start must have a date, a time and an offset".to_owned(),
        remedy: format!("write {STARTS}"),
    };
    let pieces = jiff::fmt::temporal::Pieces::parse(text).map_err(|_| mistake())?;
    let offset = pieces.to_numeric_offset().ok_or_else(mistake)?;
    let at = text.parse::<Timestamp>().map_err(|_| mistake())?;
    Ok((at, TimeZone::fixed(offset)))
}

impl Night {
    /// The first moment at or after the last one at which the clock shows this.
    fn moment(&mut self, field: Field<'_>) -> Result<Timestamp, Reported> {
        let clock = clock(field)?;
        self.last = self.on_or_after(self.last, clock).unwrap_or(self.last);
        Ok(self.last)
    }

    fn on_or_after(&self, from: Timestamp, clock: Time) -> Option<Timestamp> {
        let day = from.to_zoned_datetime(self.zone.clone()).date();
        [Ok(day), day.checked_add(1.day())]
            .into_iter()
            .flatten()
            .filter_map(|day| self.zone.to_timestamp(day.to_datetime(clock)).ok())
            .find(|at| *at >= from)
    }

    /// When the thing told at `at` really happened.
    pub(super) fn happened(&self, table: &mut Table<'_>, at: Timestamp) -> Result<Timestamp, Reported> {
        let read = |text: &str| {
            parse_when(text, at, &self.zone)
                .map_err(|error| Mistake { what: "that time cannot be read".to_owned(), remedy: error.to_string() })
        };
        Ok(table.optional(WHEN, |f| f.parsed(read))?.map_or(at, Spanned::into_inner))
    }
}

fn clock(field: Field<'_>) -> Result<Time, Reported> {
    let read = |text: &str| {
        text.parse::<Time>().map_err(|_| Mistake {
            what: "that is no clock time".to_owned(),
            remedy: "write hours and minutes, as in \"23:40\"".to_owned(),
        })
    };
    Ok(field.parsed(read)?.into_inner())
}

fn step(table: &mut Table<'_>, night: &mut Night) -> Result<Step, Reported> {
    let at = table.required(AT, |f| night.moment(f));
    let what = table.deciding(DO, |f| {
        f.choice(&[
            ("read", Do::Read),
            ("start", Do::Start),
            ("tick", Do::Tick),
            ("pour", Do::Pour),
            ("level", Do::Level),
            ("mix", Do::Mix),
            ("see", Do::See),
            ("acknowledge", Do::Acknowledge),
            ("snooze", Do::Snooze),
            ("finish", Do::Finish),
            ("undo", Do::Undo),
        ])
    });
    let (at, what) = (at?, what?.into_inner());
    let command = match what {
        Do::Read => Command::Read {
            celsius: table.required(CELSIUS, |f| f.quantity(Celsius::new))?.into_inner(),
            humidity: table.optional(HUMIDITY, |f| f.quantity(Percent::new))?.map(Spanned::into_inner),
            at: night.happened(table, at)?,
            source: table.optional(SOURCE, Field::text)?.map_or_else(|| PlainText::new("bench"), Spanned::into_inner),
        },
        Do::Start => super::piece::start(table, night, at)?,
        Do::Tick => super::piece::tick(table)?,
        Do::Pour => super::piece::pour(table, night, at)?,
        Do::Level => super::piece::level(table, night, at)?,
        Do::Mix => Command::Mix(mix(table, night, at)?),
        Do::See => see(table, night, at)?,
        Do::Acknowledge => Command::Acknowledge { alarm: alarm(table)? },
        Do::Snooze => {
            let length = table.required(FOR, Field::duration)?.into_inner();
            let length = SignedDuration::try_from(length).unwrap_or(SignedDuration::MAX);
            Command::Snooze { alarm: alarm(table)?, until: at.saturating_add(length).unwrap_or(at) }
        }
        Do::Finish => match super::piece::number(table)? {
            None => Command::Finish { batch: table.required(BATCH, batch)? },
            piece => Command::FinishPiece { piece },
        },
        Do::Undo => {
            let entry = table.optional(ENTRY, Field::count)?;
            Command::Undo { entry: entry.map(|n| EntryId(i64::from(n.into_inner()))) }
        }
    };
    Ok(Step { at, command })
}

fn mix(table: &mut Table<'_>, night: &Night, at: Timestamp) -> Result<NewMix, Reported> {
    let at = night.happened(table, at)?;
    let material = table.required(MATERIAL, |f| f.parsed(material))?.into_inner();
    let label = table.optional(LABEL, Field::text)?.map(Spanned::into_inner).unwrap_or_default();
    let resin = table.optional(RESIN, |f| f.quantity(Grams::new))?.map(Spanned::into_inner);
    let percent = table.optional(DOSE, |f| f.quantity(DosePercent::new))?;
    let weighed = table.optional(CATALYST, |f| f.quantity(Grams::new))?;
    let dose = match (percent, weighed) {
        (None, None) => Dose::Usual,
        (Some(percent), None) => Dose::Percent(percent.into_inner()),
        (None, Some(weighed)) => Dose::Weighed(weighed.into_inner()),
        (Some(_), Some(weighed)) => {
            let what = "the dose is given twice, in percent and in grams";
            return Err(table.report(Problem::new(weighed.span(), what, None, "keep one of the two")));
        }
    };
    let depth = table.optional(DEPTH, |f| f.quantity(Millimetres::new))?.map(Spanned::into_inner);
    let onto = table.optional(ONTO, batch)?;
    Ok(NewMix { material, label, resin, dose, depth, onto, part: None, at })
}

fn see(table: &mut Table<'_>, night: &Night, at: Timestamp) -> Result<Command, Reported> {
    let at = night.happened(table, at)?;
    let batch = table.optional(BATCH, batch)?;
    let stage = table.required(STAGE, |f| f.parsed(stage))?.into_inner();
    let how = table
        .optional(HOW, |f| f.choice(&[("seen", How::Seen), ("already", How::Already), ("not-yet", How::NotYet)]))?;
    let since = table.optional(SINCE, clock)?;
    let test = table.optional(TEST, Field::text)?.map(Spanned::into_inner);
    let seen = match (how.map_or(How::Seen, Spanned::into_inner), since) {
        (_, Some(since)) => {
            let day_before = at - SignedDuration::from_hours(24);
            Seen::Between { after: night.on_or_after(day_before, since).unwrap_or(day_before), by: at }
        }
        (How::Seen, None) => Seen::At { at },
        (How::Already, None) => Seen::By { by: at },
        (How::NotYet, None) => Seen::NotYet { at },
    };
    let trust = table.optional(TRUST, |f| f.choice(&[("sure", Trust::Sure), ("guess", Trust::Guess)]))?;
    let within = table.optional(WITHIN, Field::duration)?.map(|length| Hours::from(length.into_inner()));
    let trust = trust.map(Spanned::into_inner).unwrap_or_default();
    Ok(Command::Observe { batch, stage, seen, test, trust, within })
}

fn alarm(table: &mut Table<'_>) -> Result<AlarmId, Reported> {
    let batch = table.required(BATCH, batch);
    let stage = table.required(STAGE, |f| f.parsed(stage));
    Ok(AlarmId::of(batch?, stage?.into_inner()))
}

fn batch(field: Field<'_>) -> Result<BatchId, Reported> {
    Ok(BatchId(field.count()?.into_inner()))
}

fn stage(text: &str) -> Result<Stage, Mistake> {
    text.parse().map_err(|error: crate::material::UnknownStage| Mistake {
        what: "that is no stage".to_owned(),
        remedy: error.to_string(),
    })
}

fn material(text: &str) -> Result<MaterialId, Mistake> {
    MaterialId::new(text)
        .map_err(|error| Mistake { what: "that cannot be a material".to_owned(), remedy: error.to_string() })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::strict::read;

    const HEAD: &str = "title = \"A pond\"\nstarts = \"2026-03-02T23:00:00+01:00\"\nends = \"07:00\"\n";

    fn steps(text: &str) -> Result<Vec<Step>, Vec<Problem>> {
        let mut script = read(&format!("{HEAD}{text}"), read_script)?.value;
        let last = script.ends;
        Ok(std::iter::from_fn(|| script.take_due(last)).map(|(at, command)| Step { at, command }).collect())
    }

    #[test]
    fn a_clock_time_is_the_next_one_after_the_step_before() {
        let steps =
            steps("[[step]]\nat = \"23:50\"\ndo = \"read\"\nc = 20\n[[step]]\nat = \"00:10\"\ndo = \"read\"\nc = 19\n");
        let times: Vec<String> = steps.unwrap().iter().map(|step| step.at.to_string()).collect();
        assert_eq!(times, ["2026-03-02T22:50:00Z", "2026-03-02T23:10:00Z"]);
    }

    #[test]
    fn a_thing_may_have_happened_before_it_is_told() {
        let step = &steps("[[step]]\nat = \"00:10\"\ndo = \"read\"\nc = 19\nwhen = \"23:40\"\n").unwrap()[0];
        let Command::Read { at, .. } = step.command else { panic!("no reading: {step:?}") };
        assert_eq!((at, step.at), (at_utc("22:40"), at_utc("23:10")));
        let since = "[[step]]\nat = \"00:10\"\ndo = \"see\"\nstage = \"gel\"\nsince = \"23:30\"\nwhen = \"23:50\"\n";
        let Command::Observe { seen, .. } = steps(since).unwrap()[0].command else { panic!("no observation") };
        assert_eq!(seen, Seen::Between { after: at_utc("22:30"), by: at_utc("22:50") });
    }

    fn at_utc(clock: &str) -> Timestamp {
        format!("2026-03-02T{clock}:00Z").parse().unwrap()
    }

    #[test]
    fn mistakes_say_what_to_write() {
        let words = |text: &str| {
            let problems = steps(text).unwrap_err();
            problems.iter().map(|p| format!("{}; {}", p.what, p.remedy)).collect::<Vec<_>>().join("\n")
        };
        let bad = words("[[step]]\nat = \"23:50\"\ndo = \"read\"\nc = 20\nwhen = \"soon\"\n");
        assert!(bad.contains("that time cannot be read; 'soon' is not a time. Write 23:40"), "{bad}");
        let bad = words("[[step]]\nat = \"23:50\"\ndo = \"finish\"\nbatch = 1\nwhen = \"23:40\"\n");
        assert!(bad.contains("unknown key in [[step]]; take it out"), "{bad}");
        let bad = words("[[step]]\nat = \"25:50\"\ndo = \"finish\"\nbatch = 1\n");
        assert!(bad.contains("that is no clock time"), "{bad}");
    }
}

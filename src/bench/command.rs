//! What a user can ask for, and whether it makes sense. Deciding is pure: nothing is written when it is refused.

mod piece;

pub use piece::{NewPiece, NewPour};

use super::alarm_id::AlarmId;
use super::batch::Batch;
use super::bedtime::Promise;
use super::doubts::{BENCH_C, doubts, sudden, window_missed};
use super::entry::{BatchId, Entry, EntryId, Mix, NewEntry, Part, PieceId, Seen, Trust};
use super::log::Log;
use super::night::PlannedPour;
use super::own_heat::HeatBook;
use super::readings::measures_bench;
use super::room::Tonight;
use super::words::figure_words;
use crate::material::{Catalogue, Item, MaterialId, Mixing, Profile, Stage, UnknownMaterial};
use crate::pour::{StepId, cups};
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams, Hours, Level, Millimetres, Percent};
use jiff::{SignedDuration, Timestamp};

/// How far ahead of the clock a time may lie before it counts as a slip: two machines' clocks may differ a little.
const FUTURE_TOLERANCE: SignedDuration = SignedDuration::from_secs(90);

/// How the dose was given.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Dose {
    /// The profile's usual one.
    Usual,
    Percent(DosePercent),
    /// Catalyst as weighed.
    Weighed(Grams),
}

/// A batch to start.
#[derive(Debug, Clone, PartialEq)]
pub struct NewMix {
    pub material: MaterialId,
    pub label: PlainText,
    pub resin: Option<Grams>,
    pub dose: Dose,
    pub depth: Option<Millimetres>,
    pub onto: Option<BatchId>,
    /// What it is for, where it is more than a batch.
    pub part: Option<Part>,
    /// First contact of the parts.
    pub at: Timestamp,
}

/// What the user asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Command {
    Mix(NewMix),
    /// Without a batch: the only one running.
    Observe {
        batch: Option<BatchId>,
        stage: Stage,
        seen: Seen,
        test: Option<PlainText>,
        trust: Trust,
        /// How far off a watched moment may be, where that was said.
        within: Option<Hours>,
    },
    /// Runs on its material's figures as they are now.
    Adopt {
        batch: BatchId,
    },
    Read {
        celsius: Celsius,
        humidity: Option<Percent>,
        at: Timestamp,
        source: PlainText,
    },
    Finish {
        batch: BatchId,
    },
    Start(NewPiece),
    /// The next layer of a piece, from the weights that are planned for it.
    Pour(NewPour),
    /// Here and below, without a piece: the only one on the bench.
    Tick {
        piece: Option<PieceId>,
        step: StepId,
    },
    /// The level the resin was found at.
    Level {
        piece: Option<PieceId>,
        level_mm: Level,
        at: Timestamp,
    },
    FinishPiece {
        piece: Option<PieceId>,
    },
    /// These pour times are gone by from here on.
    AcceptNight {
        piece: Option<PieceId>,
        pours: Vec<PlannedPour>,
    },
    Acknowledge {
        alarm: AlarmId,
    },
    Snooze {
        alarm: AlarmId,
        until: Timestamp,
    },
    /// What the forecast of the bench's temperature is to be made of.
    Expect(Tonight),
    /// Somebody goes to bed; these are the alarms that may wake them.
    Bedtime {
        promised: Vec<Promise>,
    },
    /// Without an entry: the newest one that can be undone.
    Undo {
        entry: Option<EntryId>,
    },
}

/// What to write, and what the user should know about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Decision {
    pub entries: Vec<NewEntry>,
    pub remarks: Vec<PlainText>,
}

/// Why a command was refused.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Refusal {
    #[error(transparent)]
    UnknownMaterial(#[from] UnknownMaterial),
    #[error("there is no batch {0}; 'nightpour clocks' lists the running ones")]
    UnknownBatch(BatchId),
    #[error("batch {0} is done; undo that first if it still needs watching")]
    BatchDone(BatchId),
    #[error("no batch is running; start one with 'mix' first")]
    NothingRunning,
    #[error("{} batches are meant ({}); say which, by its number", .0.len(), list(.0))]
    WhichBatch(Vec<BatchId>),
    #[error("{material} has no stage '{stage}'; it has {}", list(.has))]
    NoSuchStage { material: MaterialId, stage: Stage, has: Vec<Stage> },
    #[error("{0} is set by light alone: it has no stages to time")]
    NoClock(MaterialId),
    #[error("that time is {} ahead of the clock; give one that has passed", super::words::span_words(*.0))]
    InFuture(SignedDuration),
    #[error("that is before batch {0} was mixed; check the time, or the batch")]
    BeforeMix(BatchId),
    #[error("the first of the two times must be the earlier one")]
    NotAnInterval,
    #[error("only a moment that was watched can be off by so much; give it with the time, or leave it out")]
    WithinWhat,
    #[error("off by {} is more than it took since the mix; give a shorter time", super::words::span_words(*.0))]
    WithinTooLong(SignedDuration),
    #[error("batch {0} runs on these very figures already")]
    SameFigures(BatchId),
    #[error("catalyst in grams needs the resin in grams too; give --resin-g, or --dose-percent instead")]
    DoseWithoutResin,
    #[error("{0} takes no catalyst dose; its mix is fixed by the profile")]
    NoDose(MaterialId),
    #[error("the catalyst is {0:.1} % of the resin; check that the two weights are not swapped")]
    AbsurdDose(f64),
    #[error(
        "{0} is no temperature of a bench; look at the decimal point, or say '--source resin' if it is the resin's"
    )]
    NoBenchTemperature(Celsius),
    #[error("no piece is on the bench; 'nightpour start PIECE.toml' puts one there")]
    NoPiece,
    #[error("there is no piece {0}; 'nightpour clocks' lists those on the bench")]
    UnknownPiece(PieceId),
    #[error("piece {0} is done; undo that first if there is more to pour")]
    PieceDone(PieceId),
    #[error("{} pieces are on the bench ({}); say which, by its number", .0.len(), list(.0))]
    WhichPiece(Vec<PieceId>),
    #[error("piece {piece} is cast in {wanted}; mix that, or mix this for itself")]
    OtherMaterial { piece: PieceId, wanted: MaterialId },
    #[error("layer {layer} is poured already; undo that first if it was a slip")]
    PouredAlready { layer: u32 },
    #[error("layer {layer} is not the next one; layer {next} is")]
    NotTheNextLayer { layer: u32, next: u32 },
    #[error("piece {0} is full: no layer is left to pour")]
    PieceFull(PieceId),
    #[error("piece {0} cannot be planned: its copy in the notebook, or its material, cannot be read")]
    NoPlan(PieceId),
    #[error("{} g would run over the brim; weigh again, or take another vessel for the rest", figure_words(*.weighed_g, 1))]
    RunsOver { weighed_g: f64 },
    #[error("'{0}' was ticked already")]
    TickedAlready(StepId),
    #[error("a pour is not ticked: write it down with its weights, with 'nightpour pour {0}'")]
    PourIsNoTick(u32),
    #[error("nothing has been poured into piece {0} yet")]
    NothingPoured(PieceId),
    #[error("{level_mm} is over the brim, which is at {brim_mm} mm; measure from the inside of the floor")]
    OverTheBrim { level_mm: Level, brim_mm: f64 },
    #[error("that alarm is not there any more")]
    NoSuchAlarm,
    #[error("snoozing needs a time that is still to come")]
    SnoozeInPast,
    #[error("there is nothing to undo")]
    NothingToUndo,
    #[error("entry {} is not there, or was undone already", .0.0)]
    CannotUndo(EntryId),
    #[error("entry {} is itself an undo; enter what it took back once more instead", .0.0)]
    UndoOfUndo(EntryId),
}

fn list<T: std::fmt::Display>(items: &[T]) -> String {
    items.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
}

/// Checks `command` against what the notebook says, and turns it into entries. `heat` saves work where it follows `log`.
pub fn decide(
    log: &Log,
    catalogue: &Catalogue,
    heat: &HeatBook,
    command: Command,
    now: Timestamp,
) -> Result<Decision, Refusal> {
    let one = |happened, entry| Decision { entries: vec![NewEntry { happened, entry }], remarks: Vec::new() };
    match command {
        Command::Mix(mix) => decide_mix(log, catalogue, heat, mix, now),
        Command::Observe { batch, stage, seen, test, trust, within } => {
            let batch = match batch {
                Some(id) => running(log, id)?,
                None => only_running(log)?,
            };
            let happened = check_seen(batch, stage, seen, now)?;
            let remarks = doubts(log, heat, batch, (stage, seen), now);
            check_within(batch, seen, within)?;
            let entry = Entry::Observed { batch: batch.id, stage, seen, test, trust, within };
            Ok(Decision { remarks, ..one(happened, entry) })
        }
        Command::Adopt { batch } => adopt(log, catalogue, batch, now),
        Command::Read { celsius, humidity, at, source } => {
            past(at, now)?;
            if measures_bench(&source) && !BENCH_C.contains(&celsius.get()) {
                return Err(Refusal::NoBenchTemperature(celsius));
            }
            let remarks = sudden(log, celsius, at).filter(|_| measures_bench(&source)).into_iter().collect();
            Ok(Decision { remarks, ..one(at, Entry::Reading { celsius, humidity, source }) })
        }
        Command::Finish { batch } => Ok(one(now, Entry::Done { batch: running(log, batch)?.id })),
        Command::Start(new) => piece::start(catalogue, new, now),
        Command::Pour(pour) => piece::pour(log, catalogue, heat, &pour, now),
        Command::Tick { piece, step } => piece::tick(log, piece, step, now),
        Command::Level { piece, level_mm, at } => piece::level(log, piece, level_mm, at, now),
        Command::FinishPiece { piece } => piece::finish(log, piece, now),
        Command::Acknowledge { alarm } => {
            check_alarm(log, alarm)?;
            Ok(one(now, Entry::Acknowledged { alarm }))
        }
        Command::Snooze { alarm, until } => {
            check_alarm(log, alarm)?;
            if until <= now {
                return Err(Refusal::SnoozeInPast);
            }
            Ok(one(now, Entry::Snoozed { alarm, until }))
        }
        Command::AcceptNight { piece, pours } => piece::accept_night(log, piece, pours, now),
        Command::Expect(tonight) => Ok(one(now, Entry::Tonight(tonight))),
        Command::Bedtime { promised } => Ok(one(now, Entry::Bedtime { promised })),
        Command::Undo { entry } => {
            let entry = match entry {
                Some(id) if log.can_undo(id) => id,
                Some(id) if log.tail().any(|(s, _)| s.id == id && matches!(s.entry, Entry::Undone { .. })) => {
                    return Err(Refusal::UndoOfUndo(id));
                }
                Some(id) => return Err(Refusal::CannotUndo(id)),
                None => log.last_undoable().ok_or(Refusal::NothingToUndo)?,
            };
            Ok(one(now, Entry::Undone { entry }))
        }
    }
}

fn decide_mix(
    log: &Log,
    catalogue: &Catalogue,
    heat: &HeatBook,
    mix: NewMix,
    now: Timestamp,
) -> Result<Decision, Refusal> {
    past(mix.at, now)?;
    let item = catalogue.find(mix.material.as_str())?;
    let below = mix.onto.map(|onto| log.batch(onto).ok_or(Refusal::UnknownBatch(onto))).transpose()?;
    if let Some(below) = below.filter(|below| below.started > mix.at) {
        return Err(Refusal::BeforeMix(below.id));
    }
    mix.part.map(|part| piece::check_part(log, part, &mix.material)).transpose()?;
    let profile = &item.profile;
    let dose = resolve_dose(profile, mix.dose, mix.resin)?;
    let mut entries = Vec::new();
    if !log.keeps_profile(&item.fingerprint) {
        entries.push(keep_profile(item, now));
    }
    // A topping is as thin as it is.
    let depth = mix.depth.filter(|_| !matches!(mix.part, Some(Part::Topping { .. })));
    let cup_g = mix.resin.and_then(|resin| cup_g(profile, resin, mix.part));
    let mut remarks = remarks(profile, dose, cup_g, depth);
    remarks.extend(below.and_then(|below| window_missed(log, heat, below, mix.at)));
    entries.push(NewEntry {
        happened: mix.at,
        entry: Entry::Mixed(Mix {
            material: mix.material,
            profile: item.fingerprint.clone(),
            label: mix.label,
            resin: mix.resin,
            dose,
            depth: mix.depth,
            onto: mix.onto,
            part: mix.part,
        }),
    });
    Ok(Decision { entries, remarks })
}

fn adopt(log: &Log, catalogue: &Catalogue, id: BatchId, now: Timestamp) -> Result<Decision, Refusal> {
    let batch = running(log, id)?;
    let item = catalogue.find(batch.mix.material.as_str())?;
    if batch.mix.profile == item.fingerprint {
        return Err(Refusal::SameFigures(id));
    }
    let kept = (!log.keeps_profile(&item.fingerprint)).then(|| keep_profile(item, now));
    let entry = Entry::Adopted { batch: id, profile: item.fingerprint.clone() };
    let entries = kept.into_iter().chain([NewEntry { happened: now, entry }]).collect();
    Ok(Decision { entries, remarks: Vec::new() })
}

fn keep_profile(item: &Item, now: Timestamp) -> NewEntry {
    NewEntry {
        happened: now,
        entry: Entry::Profile {
            fingerprint: item.fingerprint.clone(),
            material: item.profile.id.clone(),
            toml: item.source.clone().into_owned(),
        },
    }
}

/// The dose in percent; `None` for a material whose mix is fixed.
pub(super) fn resolve_dose(
    profile: &Profile,
    dose: Dose,
    resin: Option<Grams>,
) -> Result<Option<DosePercent>, Refusal> {
    let Mixing::Catalysed { usual, .. } = &profile.mixing else {
        return if dose == Dose::Usual { Ok(None) } else { Err(Refusal::NoDose(profile.id.clone())) };
    };
    let percent = match dose {
        Dose::Usual => return Ok(Some(usual.value)),
        Dose::Percent(percent) => percent.get(),
        Dose::Weighed(catalyst) => catalyst.get() / resin.ok_or(Refusal::DoseWithoutResin)?.get() * 100.0,
    };
    // Ten times the usual dose is a slip of the scale or of the decimal point, not a recipe.
    match DosePercent::new(percent) {
        Ok(dose) if percent <= 10.0 * usual.value.get() => Ok(Some(dose)),
        _ => Err(Refusal::AbsurdDose(percent)),
    }
}

/// What one cup holds of a batch with so much resin; of a two-part system A and B together. A layer of a piece is mixed in
/// as many cups as the profile's largest batch makes of it.
pub(super) fn cup_g(profile: &Profile, resin: Grams, part: Option<Part>) -> Option<Grams> {
    let all_g = profile.all_resin_g(resin.get());
    let cups = part.and_then(Part::layer).map_or(1, |_| cups(profile, all_g));
    Grams::new(all_g / f64::from(cups)).ok()
}

/// What lies outside the profile's limits, where one cup holds `resin`. It is still written: the notebook records what was really done.
fn remarks(
    profile: &Profile,
    dose: Option<DosePercent>,
    resin: Option<Grams>,
    depth: Option<Millimetres>,
) -> Vec<PlainText> {
    let mm = |depth: Millimetres| format!("{} {}", figure_words(depth.get(), 2), Millimetres::SYMBOL);
    let mut lines = Vec::new();
    if let (Mixing::Catalysed { min, max, .. }, Some(dose)) = (&profile.mixing, dose) {
        if dose < min.value {
            lines.push(format!("dose {dose:.2} is under the profile's {:.2}: it may never set", min.value));
        }
        if dose > max.value {
            lines.push(format!("dose {dose:.2} is over the profile's {:.2}: heat, cracks", max.value));
        }
    }
    if let (Some(depth), Some(min)) = (depth, profile.layer_depth.min)
        && depth < min.value
    {
        lines.push(format!("{} is thinner than the profile's {}: it may stay soft", mm(depth), min.value));
    }
    if let (Some(depth), Some(max)) = (depth, profile.layer_depth.max)
        && depth > max.value
    {
        lines.push(format!("{} is deeper than the profile's {}: it may overheat and crack", mm(depth), max.value));
    }
    let in_cup = |resin: Grams| format!("{} {}", figure_words(resin.get(), 1), Grams::SYMBOL);
    if let (Some(resin), Some(min)) = (resin, profile.batch_mass.min)
        && resin < min.value
    {
        lines.push(format!("{} is under the smallest batch, {}: the weights get too coarse", in_cup(resin), min.value));
    }
    if let (Some(resin), Some(max)) = (resin, profile.batch_mass.max)
        && resin > max.value
    {
        lines.push(format!("{} is over the largest batch, {}: it can overheat in the cup", in_cup(resin), max.value));
    }
    lines.iter().map(|line| PlainText::new(line)).collect()
}

fn past(at: Timestamp, now: Timestamp) -> Result<(), Refusal> {
    let ahead = at.duration_since(now);
    if ahead > FUTURE_TOLERANCE { Err(Refusal::InFuture(ahead)) } else { Ok(()) }
}

fn running(log: &Log, id: BatchId) -> Result<&Batch, Refusal> {
    let batch = log.batch(id).ok_or(Refusal::UnknownBatch(id))?;
    if batch.is_running() { Ok(batch) } else { Err(Refusal::BatchDone(id)) }
}

fn only_running(log: &Log) -> Result<&Batch, Refusal> {
    let mut batches = log.running();
    match (batches.next(), batches.next()) {
        (None, _) => Err(Refusal::NothingRunning),
        (Some(only), None) => Ok(only),
        (Some(_), Some(_)) => Err(Refusal::WhichBatch(log.running().map(|b| b.id).collect())),
    }
}

/// Whether the alarm can be answered: its batch runs, and has that stage. A silence can always be.
fn check_alarm(log: &Log, alarm: AlarmId) -> Result<(), Refusal> {
    let AlarmId::Stage { batch, stage, .. } = alarm else { return Ok(()) };
    let cure = running(log, batch).ok().and_then(|batch| batch.profile.as_ref()?.thermal());
    cure.and_then(|cure| cure.stage(stage)).map(|_| ()).ok_or(Refusal::NoSuchAlarm)
}

/// Only a watched moment is off by something, and by less than what has passed since the mix.
fn check_within(batch: &Batch, seen: Seen, within: Option<Hours>) -> Result<(), Refusal> {
    let Some(within) = within else { return Ok(()) };
    let Seen::At { at } = seen else { return Err(Refusal::WithinWhat) };
    let length = SignedDuration::try_from_secs_f64(within.seconds()).unwrap_or(SignedDuration::MAX);
    if length > at.duration_since(batch.started) { Err(Refusal::WithinTooLong(length)) } else { Ok(()) }
}

/// Checks an observation and says when it happened: the moment of the last look it speaks of.
fn check_seen(batch: &Batch, stage: Stage, seen: Seen, now: Timestamp) -> Result<Timestamp, Refusal> {
    if let Some(profile) = &batch.profile {
        let cure = profile.thermal().ok_or_else(|| Refusal::NoClock(profile.id.clone()))?;
        if cure.stage(stage).is_none() {
            return Err(Refusal::NoSuchStage {
                material: profile.id.clone(),
                stage,
                has: cure.stages.iter().map(|s| s.stage).collect(),
            });
        }
    }
    let (first, last) = match seen {
        Seen::At { at } | Seen::NotYet { at } => (at, at),
        Seen::By { by } => (by, by),
        Seen::Between { after, by } => (after, by),
    };
    past(first, now)?;
    past(last, now)?;
    if first > last {
        return Err(Refusal::NotAnInterval);
    }
    if last < batch.started || first + FUTURE_TOLERANCE < batch.started {
        return Err(Refusal::BeforeMix(batch.id));
    }
    Ok(last)
}

#[cfg(test)]
mod tests;

//! The notebook's entries as lines for people.

use super::alarm_id::{AlarmId, Phase};
use super::entry::{BatchId, Entry, PieceId, Recalled, Seen};
use super::log::Log;
use super::room::Tonight;
use super::words::{clock_words, figure_words, span_words};
use crate::units::{Grams, Hours, Millimetres};
use jiff::{SignedDuration, tz::TimeZone};

/// One entry as a short line; times in `zone`.
pub fn entry_words(entry: &Entry, log: &Log, zone: &TimeZone) -> String {
    let clock = |at| clock_words(at, zone);
    match entry {
        Entry::Profile { material, .. } => format!("profile of {material} kept"),
        Entry::Mixed(mix) => {
            let mut line = format!("mixed {}", mix.material);
            if !mix.label.is_empty() {
                line = format!("{line} for {}", mix.label);
            }
            let amounts = [
                mix.resin.map(|g| format!("{} {}", figure_words(g.get(), 2), Grams::SYMBOL)),
                mix.dose.map(|d| format!("{d:.2}")),
                mix.depth.map(|d| format!("{} {}", figure_words(d.get(), 2), Millimetres::SYMBOL)),
            ];
            let line = amounts.into_iter().flatten().fold(line, |line, amount| format!("{line}, {amount}"));
            mix.onto.map(|onto| format!("{line}, on {onto}")).unwrap_or(line)
        }
        Entry::Observed { batch, stage, seen, test, trust, within } => {
            let how = match seen {
                Seen::At { .. } => "seen".to_owned(),
                Seen::By { .. } => "already there".to_owned(),
                Seen::Between { after, by } => format!("between {} and {}", clock(*after), clock(*by)),
                Seen::NotYet { .. } => "not yet".to_owned(),
            };
            let test = test.as_ref().map(|t| format!(" ({t})")).unwrap_or_default();
            let off =
                within.map(|within| format!(", ±{} min", figure_words(within.get() * 60.0, 1))).unwrap_or_default();
            let guess = if trust.is_sure() { "" } else { ", a guess" };
            format!("{}: {} {how}{test}{off}{guess}", name(*batch, log), stage.words())
        }
        Entry::Adopted { batch, .. } => {
            let material = log.batch(*batch).map(|batch| format!(" of {}", batch.mix.material)).unwrap_or_default();
            format!("{} runs on the changed figures{material}", name(*batch, log))
        }
        Entry::Recalled(recalled) => recalled_words(recalled),
        Entry::Reading { celsius, humidity, source } => {
            let humidity = humidity.map(|h| format!(", {h:.0} humidity")).unwrap_or_default();
            format!("{source} {celsius:.1}{humidity}")
        }
        Entry::Done { batch } => format!("finished with {}", name(*batch, log)),
        Entry::PieceStarted { name, .. } => format!("started {name}"),
        Entry::Ticked { piece, step } => format!("{}: ticked {step}", piece_name(*piece, log)),
        Entry::NightPlanned { piece, pours } => {
            let first = pours.first().map(|pour| format!(", layer {} at {}", pour.layer, clock_words(pour.at, zone)));
            format!("{}: pour times accepted{}", piece_name(*piece, log), first.unwrap_or_default())
        }
        Entry::Levelled { piece, level_mm } => format!("{}: resin stands at {level_mm:.1}", piece_name(*piece, log)),
        Entry::PieceDone { piece } => format!("finished with {}", piece_name(*piece, log)),
        Entry::Acknowledged { alarm } => format!("acknowledged {}", alarm_name(*alarm, log)),
        Entry::Snoozed { alarm, until } => format!("snoozed {} until {}", alarm_name(*alarm, log), clock(*until)),
        Entry::ClockSet { by_us, .. } => {
            let way = if *by_us < 0 { "back" } else { "forward" };
            let by = span_words(SignedDuration::from_micros(*by_us));
            format!("the machine's clock was set {way} by {by}; what has passed since each pour stays what it was")
        }
        Entry::Slept { from } => format!("the machine slept since {}: nothing could ring", clock(*from)),
        Entry::Tonight(Tonight::PastNights) => "the forecast goes by the room's past nights".to_owned(),
        Entry::Tonight(Tonight::Held) => "the forecast holds the last reading".to_owned(),
        Entry::Tonight(Tonight::Typed { knots }) => {
            let knots: Vec<String> =
                knots.iter().map(|knot| format!("{} {:.1}", clock(knot.at), knot.celsius)).collect();
            format!("the forecast as typed: {}", knots.join(", "))
        }
        Entry::Bedtime { promised } => match promised.iter().min_by_key(|promise| promise.due) {
            Some(first) => format!("bedtime; first to ring: {} at {}", alarm_name(first.alarm, log), clock(first.due)),
            None => "bedtime; nothing is to ring".to_owned(),
        },
        Entry::Moved { alarm, from, to } => {
            let way = if to < from { "earlier" } else { "later" };
            format!("{} comes {way} than promised: {} instead of {}", alarm_name(*alarm, log), clock(*to), clock(*from))
        }
        Entry::Rang { alarm } => format!("rang {}", alarm_name(*alarm, log)),
        Entry::Undone { entry } => match log.tail().find(|(stored, _)| stored.id == *entry) {
            // An undo cannot be undone, so this goes no deeper.
            Some((stored, _)) => format!("undid: {}", entry_words(&stored.entry, log, zone)),
            None => format!("undid entry {}", entry.0),
        },
        Entry::PassedOver { kind } => format!("an entry of kind '{kind}', passed over"),
    }
}

fn recalled_words(recalled: &Recalled) -> String {
    let hours = |hours: Hours| figure_words(hours.get(), 2);
    let when = match (recalled.after_h, recalled.by_h) {
        (Some(after), Some(by)) if after == by => format!("at {} h", hours(by)),
        (Some(after), Some(by)) => format!("between {} and {} h", hours(after), hours(by)),
        (Some(after), None) => format!("not yet at {} h", hours(after)),
        (None, Some(by)) => format!("there at {} h", hours(by)),
        (None, None) => "without a time".to_owned(),
    };
    let dose = recalled.dose_percent.map(|dose| format!(", {dose:.2}")).unwrap_or_default();
    let guess = if recalled.trust.is_sure() { "" } else { ", a guess" };
    let Recalled { material, stage, celsius, source, .. } = recalled;
    format!("recalled {material}: {} {when} at {celsius:.1}{dose}{guess} ({source})", stage.words())
}

fn name(id: BatchId, log: &Log) -> String {
    log.batch(id).map_or_else(|| format!("batch {id}"), |batch| format!("{id} {}", batch.title()))
}

fn piece_name(id: PieceId, log: &Log) -> String {
    log.piece(id).map_or_else(|| format!("piece {id}"), |piece| format!("piece {id} {}", piece.name()))
}

fn alarm_name(alarm: AlarmId, log: &Log) -> String {
    match alarm {
        AlarmId::Stage { batch, stage, phase } => {
            let phase = match phase {
                Phase::Due => "",
                Phase::Ahead => " soon",
                Phase::Missed => " missed",
            };
            format!("{}: {}{phase}", name(batch, log), stage.words())
        }
        AlarmId::Silence { silent } => format!("{}: no readings", silent.name()),
    }
}

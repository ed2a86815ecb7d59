//! The notebook's entries as lines for people.

use super::entry::{AlarmId, BatchId, Entry, PieceId, Seen};
use super::log::Log;
use super::words::{clock_words, figure_words};
use crate::units::{Grams, Millimetres};
use jiff::tz::TimeZone;

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
        Entry::Observed { batch, stage, seen, test } => {
            let how = match seen {
                Seen::At { .. } => "seen".to_owned(),
                Seen::By { .. } => "already there".to_owned(),
                Seen::Between { after, by } => format!("between {} and {}", clock(*after), clock(*by)),
                Seen::NotYet { .. } => "not yet".to_owned(),
            };
            let test = test.as_ref().map(|t| format!(" ({t})")).unwrap_or_default();
            format!("{}: {} {how}{test}", name(*batch, log), stage.words())
        }
        Entry::Reading { celsius, humidity, source } => {
            let humidity = humidity.map(|h| format!(", {h:.0} humidity")).unwrap_or_default();
            format!("{source} {celsius:.1}{humidity}")
        }
        Entry::Done { batch } => format!("finished with {}", name(*batch, log)),
        Entry::PieceStarted { name, .. } => format!("started {name}"),
        Entry::Ticked { piece, step } => format!("{}: ticked {step}", piece_name(*piece, log)),
        Entry::Levelled { piece, level_mm } => format!("{}: resin stands at {level_mm:.1}", piece_name(*piece, log)),
        Entry::PieceDone { piece } => format!("finished with {}", piece_name(*piece, log)),
        Entry::Acknowledged { alarm } => format!("acknowledged {}", alarm_name(*alarm, log)),
        Entry::Snoozed { alarm, until } => format!("snoozed {} until {}", alarm_name(*alarm, log), clock(*until)),
        Entry::Undone { entry } => match log.tail().find(|(stored, _)| stored.id == *entry) {
            // An undo cannot be undone, so this goes no deeper.
            Some((stored, _)) => format!("undid: {}", entry_words(&stored.entry, log, zone)),
            None => format!("undid entry {}", entry.0),
        },
        Entry::PassedOver { kind } => format!("an entry of kind '{kind}', passed over"),
    }
}

fn name(id: BatchId, log: &Log) -> String {
    log.batch(id).map_or_else(|| format!("batch {id}"), |batch| format!("{id} {}", batch.title()))
}

fn piece_name(id: PieceId, log: &Log) -> String {
    log.piece(id).map_or_else(|| format!("piece {id}"), |piece| format!("piece {id} {}", piece.name()))
}

fn alarm_name(alarm: AlarmId, log: &Log) -> String {
    format!("{}: {}", name(alarm.batch, log), alarm.stage.words())
}

//! How the user wants to be told.

use super::read::length;
use crate::bench::{AlarmRules, AtNight, QuietHours, StageRule};
use crate::material::{MaterialId, Stage};
use crate::night::{Days, Hours};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table};
use jiff::SignedDuration;
use jiff::civil::Time;

const LEAD: Key = Key::new("lead", "\"15m\"");
const FROM: Key = Key::new("from", "\"22:30\"");
const UNTIL: Key = Key::new("until", "\"06:30\"");
const STAGE: Key = Key::new("stage", "\"gel\"");
const MATERIAL: Key = Key::new("material", "\"clear-polyester\"");
const AT_NIGHT: Key = Key::new("at_night", "\"wake\"");

/// How long ahead, where nobody says otherwise: enough to weigh out.
const USUAL_LEAD: SignedDuration = SignedDuration::from_mins(15);

/// What holds without a file.
pub(super) fn usual() -> AlarmRules {
    AlarmRules { lead: USUAL_LEAD, ..AlarmRules::default() }
}

/// How long ahead; "none" for no word ahead.
pub(super) fn lead(table: &mut Table<'_>) -> Result<Option<SignedDuration>, Reported> {
    table.optional(LEAD, |field| {
        // "none" is the one word that is no duration.
        if field.says("none") {
            return Ok(SignedDuration::ZERO);
        }
        Ok(length(field.duration()?.into_inner()))
    })
}

pub(super) fn quiet(table: &mut Table<'_>) -> Result<QuietHours, Reported> {
    let from = table.required(FROM, clock);
    let until = table.required(UNTIL, clock);
    Ok(QuietHours { from: from?, until: until? })
}

/// The hours of sleep of who has not said when: the quiet ones, else those of most people (own choice).
pub(super) fn quiet_as_sleep(quiet: Option<QuietHours>) -> Hours {
    let usual = QuietHours { from: Time::constant(23, 0, 0, 0), until: Time::constant(6, 30, 0, 0) };
    let QuietHours { from, until } = quiet.unwrap_or(usual);
    Hours { days: Days::ALL, from, until }
}

fn clock(field: Field<'_>) -> Result<Time, Reported> {
    let key = field.key();
    let time = field.parsed(|text| {
        text.parse::<Time>().map_err(|_| Mistake {
            what: "that is no clock time".to_owned(),
            remedy: format!("write hours and minutes, as in {key}"),
        })
    })?;
    Ok(time.into_inner())
}

pub(super) fn stage_rule(table: &mut Table<'_>) -> Result<StageRule, Reported> {
    let stage = table.required(STAGE, |field| {
        field.parsed(|text| {
            text.parse::<Stage>()
                .map_err(|unknown| Mistake { what: "that is no stage".to_owned(), remedy: unknown.to_string() })
        })
    });
    let material = table.optional(MATERIAL, |field| {
        field.parsed(|text| {
            MaterialId::new(text)
                .map_err(|bad| Mistake { what: "that is no name of a material".to_owned(), remedy: bad.to_string() })
        })
    });
    let at_night = table.optional(AT_NIGHT, |field| field.choice(&[("wake", AtNight::Wake), ("wait", AtNight::Wait)]));
    let lead = lead(table);
    Ok(StageRule {
        stage: stage?.into_inner(),
        material: material?.map(Spanned::into_inner),
        at_night: at_night?.map(Spanned::into_inner),
        lead: lead?,
    })
}

//! What was learned, and what stood there before: the `[learned]` table, which 'nightpour learn' writes.

use super::figure::Origin;
use super::law;
use super::stages::hours;
use crate::cure::Doubt;
use crate::material::{CupWas, Cure, Learned, LearnedStage, Stage, ThermalCure};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Celsius, SpreadFactor};

const LEARNED: Key = Key::new("learned", "[learned]");
const ON: Key = Key::new("on", "\"2026-11-27\"");
const OBSERVATIONS: Key = Key::new("observations", "14");
const BATCHES: Key = Key::new("batches", "6");
const EXPONENT_WAS: Key = Key::new("dose_exponent_was", "0.9");
const CUP_GEL_WAS: Key = Key::new("cup_gel_was", "\"18m\"");
const CUP_PEAK_WAS: Key = Key::new("cup_peak_after_was", "\"45m\"");
const STAGE: Key = Key::new("stage", "[[learned.stage]]");
const STAGE_NAME: Key = Key::new("stage", "\"gel\"");
const AFTER_WAS: Key = Key::new("after_was", "\"30m\"");
const SPREAD_WAS: Key = Key::new("spread_factor_was", "1.4");
const DOUBT: Key = Key::new("doubt", "[0.002, 0.0, 0.0, 0.04, 0.0, 0.09]");
const SEEN: Key = Key::new("seen_c", "[16, 25]");

/// Reads the table, if there is one.
pub(super) fn read(
    top: &mut Table<'_>,
    origin: &Origin<'_>,
    cure: Result<&Cure, Reported>,
) -> Result<Option<Learned>, Reported> {
    let cure = match cure {
        Ok(Cure::Thermal(thermal)) => Some(thermal.as_ref()),
        Ok(Cure::Light { .. }) => {
            let why = "light sets this material, and no times of it are learned";
            top.unwanted(&[LEARNED], why, "take the table out, or write by = \"time and temperature\" in [cure]");
            return Ok(None);
        }
        Err(_) => None,
    };
    top.optional(LEARNED, |field| field.table(|table| record(table, origin, cure)))
}

fn record(table: &mut Table<'_>, origin: &Origin<'_>, cure: Option<&ThermalCure>) -> Result<Learned, Reported> {
    let origin = origin.within(table);
    let on = table.required(ON, Field::text);
    let observations = table.required(OBSERVATIONS, count);
    let batches = table.required(BATCHES, count);
    let law_was = law::was(table, &origin);
    let exponent_was = table.optional(EXPONENT_WAS, |field| origin.figure(field, Field::number));
    let gel = table.optional(CUP_GEL_WAS, |field| origin.figure(field, hours));
    let peak_after = table.optional(CUP_PEAK_WAS, |field| origin.figure(field, hours));
    let stages = table.optional(STAGE, |field| field.tables(|table| stage(table, &origin, cure)));
    let cup_was = match (gel?, peak_after?) {
        (Some(gel), Some(peak)) => Some(CupWas { gel: gel.into_inner(), peak_after: peak.into_inner() }),
        (Some(_), None) => return Err(table.missing(CUP_PEAK_WAS)),
        (None, Some(_)) => return Err(table.missing(CUP_GEL_WAS)),
        (None, None) => None,
    };
    let mut read: Vec<Spanned<LearnedStage>> = stages?.unwrap_or_default();
    read.sort_by_key(|stage| stage.get_ref().stage);
    for [first, second] in read.array_windows() {
        if first.get_ref().stage == second.get_ref().stage {
            let what = format!("the stage '{}' is there twice", second.get_ref().stage);
            table.fault(second.span(), &what, "keep one of the two [[learned.stage]] tables");
        }
    }
    Ok(Learned {
        on: on?.into_inner(),
        observations: observations?,
        batches: batches?,
        law_was: law_was?,
        exponent_was: exponent_was?.map(Spanned::into_inner),
        cup_was,
        stages: read.into_iter().map(Spanned::into_inner).collect(),
    })
}

fn count(field: Field<'_>) -> Result<u32, Reported> {
    field.whole(0..=u32::MAX).map(Spanned::into_inner)
}

fn stage(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    cure: Option<&ThermalCure>,
) -> Result<Spanned<LearnedStage>, Reported> {
    let name = table.required(STAGE_NAME, |field| field.choice(&Stage::ALL.map(|stage| (stage.key(), stage))));
    let observations = table.required(OBSERVATIONS, count);
    let after_was = table.required(AFTER_WAS, |field| origin.figure(field, hours));
    let spread_was = table.required(SPREAD_WAS, |field| origin.quantity(field, SpreadFactor::new));
    let law_was = law::was(table, origin);
    let seen = table.optional(SEEN, two);
    // A doubt is read before the warmths it was learned at are known, so that a bad name hides nothing else.
    let covariance = table.required(DOUBT, covariance);
    let name = name?;
    let stage = *name.get_ref();
    let time = cure.and_then(|cure| cure.stage(stage));
    if cure.is_some() && time.is_none() {
        let what = format!("'{stage}' is no stage of this profile");
        table.fault(name.span(), &what, "take this [[learned.stage]] out, or give the stage a [[cure.stage]]");
    }
    let law = cure.zip(time).map(|(cure, time)| (time.law.unwrap_or(cure.law).value, cure.reference_temperature.value));
    let seen = match (seen?, law) {
        (Some([least, most]), Some((law, reference))) => {
            (law.warmth(least.get(), reference), law.warmth(most.get(), reference))
        }
        _ => (f64::NEG_INFINITY, f64::INFINITY),
    };
    // Checked with the covariance; a range that is turned round was told above.
    let doubt = Doubt::new(covariance?, seen).unwrap_or(Doubt::NOTHING_LEARNED);
    let stage = LearnedStage {
        stage,
        observations: observations?,
        after_was: after_was?.into_inner(),
        spread_was: spread_was?.into_inner(),
        law_was: law_was?,
        doubt,
    };
    Ok(Spanned::new(name.span(), stage))
}

fn covariance(field: Field<'_>) -> Result<[f64; 6], Reported> {
    let bad = |field: &Field<'_>| {
        let remedy = "leave it as 'nightpour learn' wrote it, or take the [learned] table out";
        field.problem("'doubt' must be six numbers: a covariance of three", remedy)
    };
    let whole = field.clone();
    let numbers = field.list("a list of six numbers", |item| item.number().map(Spanned::into_inner))?;
    let six: Option<[f64; 6]> = numbers.try_into().ok();
    let anywhere = (f64::NEG_INFINITY, f64::INFINITY);
    six.filter(|six| Doubt::new(*six, anywhere).is_ok()).ok_or_else(|| bad(&whole))
}

fn two(field: Field<'_>) -> Result<[Celsius; 2], Reported> {
    let whole = field.clone();
    let what = "'seen_c' must be two temperatures, the lower one first";
    let read = field.list("a list of two temperatures", |item| item.quantity(Celsius::new).map(Spanned::into_inner))?;
    let two: Option<[Celsius; 2]> = read.try_into().ok();
    two.filter(|[least, most]| least <= most).ok_or_else(|| whole.problem(what, "write it as in seen_c = [16, 25]"))
}

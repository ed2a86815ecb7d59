//! The stages and their reference times: the `[[cure.stage]]` tables.

use super::figure::{Origin, usual};
use super::{law, needs, order};
use crate::material::{Stage, StageTime};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Hours, SpreadFactor};
use std::ops::Range;

pub(super) const STAGE: Key = Key::new("stage", "[[cure.stage]]");
const STAGE_NAME: Key = Key::new("stage", "\"gel\"");
const AFTER: Key = Key::new("after", "\"28m\"");
const SPREAD: Key = Key::new("spread_factor", "1.4");
const TEST: Key = Key::new("test", "\"a skewer trails no string\"");

/// Common practice takes a label's times as good to 30 to 50 %: late over likely where the file does not say.
const USUAL_SPREAD: f64 = 1.5;

/// A stage with the places of its name and its time in the file.
#[derive(Debug, Clone)]
pub(super) struct Timed {
    pub time: StageTime,
    pub name_span: Range<usize>,
    pub after_span: Range<usize>,
    /// Of what it needs to have reacted, where it says so.
    pub need_span: Option<Range<usize>>,
}

/// All stages, in the order of [`Stage`]; each at most once, and in the order in which they really happen.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Vec<Timed>, Reported> {
    let mut stages = table.required(STAGE, |field| field.tables(|table| stage(table, origin)))?;
    if stages.is_empty() {
        return Err(table.missing(STAGE));
    }
    stages.sort_by_key(|timed| timed.time.stage);
    order::check(table, &stages);
    needs::rising(table, &stages);
    Ok(stages)
}

fn stage(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Timed, Reported> {
    let origin = origin.within(table);
    let name = table.required(STAGE_NAME, |field| field.choice(&Stage::ALL.map(|stage| (stage.key(), stage))));
    let after = table.required(AFTER, |field| origin.figure(field, hours));
    let spread = table.optional(SPREAD, |field| origin.quantity(field, SpreadFactor::new));
    let test = table.required(TEST, Field::text);
    let need = needs::read(table, &origin);
    let law = law::read(table, &origin);
    let (name, after, need) = (name?, after?, need?);
    Ok(Timed {
        name_span: name.span(),
        after_span: after.span(),
        need_span: need.as_ref().map(Spanned::span),
        time: StageTime {
            stage: name.into_inner(),
            after: after.into_inner(),
            spread: spread?.map_or_else(|| usual(SpreadFactor::new(USUAL_SPREAD)), Spanned::into_inner),
            test: test?.into_inner(),
            conversion: need.map(Spanned::into_inner),
            law: law?,
        },
    })
}

/// A duration as hours.
pub(super) fn hours(field: Field<'_>) -> Result<Spanned<Hours>, Reported> {
    let duration = field.duration()?;
    Ok(Spanned::new(duration.span(), Hours::from(duration.into_inner())))
}

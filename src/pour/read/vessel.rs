//! The `[vessel]` table: one shape, or a stack of them, and what it is made of.

use super::shape::{self, SHAPE};
use super::size::{self, LARGEST_ML, SAME_MM};
use super::walls;
use crate::pour::{Shape, Vessel, Walls};
use crate::strict::{Key, Reported, Spanned, Table, typed};
use crate::units::Level;

const SECTION: Key = Key::new("section", "[[vessel.section]]");
const FROM: Key = Key::new("from_mm", "30");

const MOST_SECTIONS: usize = 50;

/// What the table says: its shape can be held against the rest of the piece though its walls could not be read.
pub(super) struct VesselRead {
    pub vessel: Vessel,
    pub walls: Result<Option<Walls>, Reported>,
}

/// One section as read, and where the file says it begins.
struct SectionRead {
    shape: Shape,
    from: Option<Spanned<Level>>,
}

/// Reads the whole table.
pub(super) fn read(table: &mut Table<'_>) -> Result<VesselRead, Reported> {
    let walls = walls::read(table);
    Ok(VesselRead { vessel: shaped(table)?, walls })
}

fn shaped(table: &mut Table<'_>) -> Result<Vessel, Reported> {
    let vessel = match table.optional(SECTION, |field| field.counted(1..=MOST_SECTIONS)?.tables(section)) {
        Ok(None) => single(table)?,
        stacked => {
            let why = "the vessel is a stack of sections, each with its own shape";
            let remedy = "move it into a [[vessel.section]], or take the sections out";
            table.unwanted(&[SHAPE, FROM], why, remedy);
            table.unwanted(&shape::KEYS, why, remedy);
            pile(table, &stacked?.unwrap_or_default())?
        }
    };
    sized(table, vessel)
}

fn single(table: &mut Table<'_>) -> Result<Vessel, Reported> {
    table.unwanted(&[FROM], "a vessel of one shape begins at its floor", "take it out");
    let shape = shape::read(table)?;
    Vessel::stack([shape]).ok_or_else(|| table.missing(SHAPE))
}

fn section(table: &mut Table<'_>) -> Result<SectionRead, Reported> {
    let from = table.optional(FROM, size::level);
    let shape = shape::read(table);
    Ok(SectionRead { from: from?, shape: shape? })
}

/// Stacks the sections. Where the file says at which level one begins, that must be where the one below it ends.
fn pile(table: &mut Table<'_>, sections: &[SectionRead]) -> Result<Vessel, Reported> {
    let Some(vessel) = Vessel::stack(sections.iter().map(|section| section.shape.clone())) else {
        return Err(table.missing(SHAPE));
    };
    for (number, (read, placed)) in (1..).zip(sections.iter().zip(vessel.sections())) {
        let Some(from) = &read.from else { continue };
        let (said, ends) = (from.get_ref().get(), placed.from_mm);
        let off = said - ends;
        if off.abs() <= SAME_MM {
            continue;
        }
        let (by, ends) = (typed(off.abs()), typed(ends));
        let which = if off < 0.0 { format!("overlaps the one below by {by}") } else { format!("leaves a gap of {by}") };
        let below = if number == 1 { "the floor is at 0" } else { &format!("the one below ends at {ends}") };
        let what = format!("section {number} {which} mm: {below} mm");
        let remedy = format!("write from_mm = {ends}, or take it out: sections follow each other by themselves");
        table.fault(from.span(), &what, &remedy);
    }
    Ok(vessel)
}

fn sized(table: &Table<'_>, vessel: Vessel) -> Result<Vessel, Reported> {
    let volume = vessel.volume_below_ml(vessel.height_mm());
    if volume <= LARGEST_ML {
        return Ok(vessel);
    }
    let what = format!("the vessel holds {} L: nothing cast here is larger than 1000 L", typed(volume / 1000.0));
    Err(table.fault(table.span(), &what, "check the units: every length is in millimetres, on the inside"))
}

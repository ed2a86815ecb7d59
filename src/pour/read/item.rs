//! One `[[item]]`: what it is, how large, and where it lies.

use super::body::{self, Body, Bulk};
use super::size;
use crate::pour::{Fixing, Item, LoadMesh, Solid};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Celsius, JPerGK, Level, Millimetres};
use std::ops::Range;

const NAME: Key = Key::new("name", "\"scallop shell\"");
const COUNT: Key = Key::new("count", "3");
const BEDDED_AT: Key = Key::new("bedded_at_mm", "24");
const FROM: Key = Key::new("from_mm", "24");
const LIFT: Key = Key::new("lift_mm", "24");
const TO: Key = Key::new("to_mm", "40");
const HELD: Key = Key::new("held", "true");
const LIMIT: Key = Key::new("limit_c", "60");
const SPECIFIC_HEAT: Key = Key::new("specific_heat_j_per_gk", "0.9");
const POROUS: Key = Key::new("porous", "true");

const MOST_OF_ONE: u32 = 10_000;

/// An item, and where the file says what later checks speak of.
pub(super) struct ItemRead {
    pub item: Item,
    /// How large it is.
    pub size_at: Range<usize>,
    /// Where its lowest point lies.
    pub from: Spanned<Level>,
    pub from_key: &'static str,
    /// Where its highest point lies; of a mesh the mesh.
    pub top_at: Range<usize>,
}

/// Where an item begins.
struct Start {
    level: Spanned<Level>,
    key: Key,
}

/// Reads item number `number`, from 0.
pub(super) fn read(table: &mut Table<'_>, number: usize, load: LoadMesh<'_>) -> Result<ItemRead, Reported> {
    let name = table.required(NAME, Field::text);
    let count = table.optional(COUNT, |field| field.whole(1..=MOST_OF_ONE));
    let body = body::read(table, number, load);
    let start = start(table);
    let to = table.optional(TO, size::length);
    let held = table.optional(HELD, Field::truth);
    let limit = table.optional(LIMIT, |field| field.quantity(Celsius::new));
    let specific_heat = table.optional(SPECIFIC_HEAT, |field| field.quantity(JPerGK::new));
    let porous = table.optional(POROUS, Field::truth);
    let (body, start, to) = (body?, start?, to?);
    let (solid, top_at) = solid(table, &body, &start, to)?;
    let specific_heat = of_known_mass(table, &body, specific_heat?)?;
    let held = held?.is_some_and(Spanned::into_inner);
    Ok(ItemRead {
        item: Item {
            name: name?.into_inner(),
            count: count?.map_or(1, Spanned::into_inner),
            solid,
            from: *start.level.get_ref(),
            bedded: start.key == BEDDED_AT,
            fixing: if held { Fixing::Held } else { Fixing::Loose },
            density: body.density,
            specific_heat,
            heat_limit: limit?.map(Spanned::into_inner),
            porous: porous?.is_some_and(Spanned::into_inner),
        },
        size_at: body.at,
        from: start.level,
        from_key: start.key.name,
        top_at,
    })
}

/// The specific heat, which says nothing of an item whose mass is not known.
fn of_known_mass(
    table: &Table<'_>,
    body: &Body,
    specific_heat: Option<Spanned<JPerGK>>,
) -> Result<Option<JPerGK>, Reported> {
    let Some(specific_heat) = specific_heat else { return Ok(None) };
    if body.density.is_none() {
        let what = "'specific_heat_j_per_gk' is the heat a gram takes, and nothing says how many grams there are";
        let remedy = "say its mass or density as well: add mass_g or density_g_per_ml";
        return Err(table.fault(specific_heat.span(), what, remedy));
    }
    Ok(Some(specific_heat.into_inner()))
}

/// The one key that says where it begins.
fn start(table: &mut Table<'_>) -> Result<Start, Reported> {
    let bedded = table.optional(BEDDED_AT, size::layer_end);
    let from = table.optional(FROM, size::level);
    let lift = table.optional(LIFT, size::level);
    let told = [(BEDDED_AT, bedded?), (FROM, from?), (LIFT, lift?)];
    let mut told = told.into_iter().filter_map(|(key, level)| Some(Start { level: level?, key }));
    let Some(start) = told.next() else {
        let what = "nothing says at which level the item lies";
        let remedy = "add bedded_at_mm where it is laid onto a layer, or from_mm; from_mm = 0 is the floor";
        return Err(table.missing_any(&[FROM, BEDDED_AT, LIFT], what, remedy));
    };
    match told.next() {
        None => Ok(start),
        Some(second) => {
            let what = format!("'{}' and '{}' both say where it lies", start.key.name, second.key.name);
            Err(table.fault(second.level.span(), &what, "keep one of the two and take the other out"))
        }
    }
}

/// The item's body at its height, and where the file says how high it reaches.
fn solid(
    table: &mut Table<'_>,
    body: &Body,
    start: &Start,
    to: Option<Spanned<Millimetres>>,
) -> Result<(Solid, Range<usize>), Reported> {
    if start.key == LIFT && matches!(body.bulk, Bulk::Volume(_)) {
        let remedy = format!("write from_mm = {}", start.level.get_ref().get());
        table.fault(start.level.span(), "'lift_mm' is for a mesh, and there is none here", &remedy);
    }
    match (&body.bulk, to) {
        (Bulk::Mesh(solid), None) => Ok((solid.clone(), body.at.clone())),
        (Bulk::Mesh(_), Some(to)) => {
            Err(table.fault(to.span(), "'to_mm' has no place here: a mesh has its own height", "take it out"))
        }
        (Bulk::Volume(_), None) => Err(table.missing(TO)),
        (Bulk::Volume(volume), Some(to)) => {
            let from = start.level.get_ref().get();
            let height = Millimetres::new(to.get_ref().get() - from).map_err(|_| {
                let what = format!("'to_mm' is not above '{}', which is {from}", start.key.name);
                table.fault(to.span(), &what, "write the level of its highest point, in millimetres above the floor")
            })?;
            Ok((Solid::Even { volume: *volume, height }, to.span()))
        }
    }
}

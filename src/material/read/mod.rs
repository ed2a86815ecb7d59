//! How a profile file becomes a [`Profile`]: every figure with its origin, every impossible combination refused.

mod catalysed;
mod cup;
mod cure;
mod dose;
mod dose_rule;
mod equivalents;
mod figure;
mod heat;
mod law;
mod learned;
mod limits;
mod mixing;
mod needs;
mod order;
mod ratio;
mod stages;
mod two_part;
mod window;

use super::profile::{Cure, MaterialId, Profile, ThermalCure};
use crate::strict::{Field, Key, Problem, Read, Reported, Spanned, Table};
use crate::units::{GramsPerMl, Percent};
use figure::Origin;
use limits::LimitsRead;
use std::cell::Cell;

const NAME: Key = Key::new("name", "\"Clear casting resin\"");
const SUMMARY: Key = Key::new("summary", "\"Clear resin, catalysed, for layers of up to 20 mm\"");
const DENSITY: Key = Key::new("density_g_per_ml", "1.13");
const SHRINKAGE: Key = Key::new("shrinkage_percent", "7");
const CAUTIONS: Key = Key::new("cautions", "[\"The label wins over this file.\"]");
const MIXING: Key = Key::new("mixing", "[mixing]");
const CURE: Key = Key::new("cure", "[cure]");
const LIMITS: Key = Key::new("limits", "[limits]");

/// Reads one profile file. The problems are in the order of the file; warnings do not stop the profile from being
/// used (a dose exponent outside 0.4 to 1.2).
pub fn read_profile(id: MaterialId, source: &str) -> Result<Read<Profile>, Vec<Problem>> {
    crate::strict::read(source, |top| profile(id, top))
}

fn profile(id: MaterialId, top: &mut Table<'_>) -> Result<Profile, Reported> {
    let told = Cell::new(None);
    let origin = Origin::of_file(top, &told);
    let name = top.required(NAME, Field::text);
    let summary = top.required(SUMMARY, Field::text);
    let density = top.required(DENSITY, |field| origin.quantity(field, GramsPerMl::new));
    let shrinkage = top.required(SHRINKAGE, |field| origin.quantity(field, Percent::new));
    let cautions = top.required(CAUTIONS, Field::texts);
    let mixing = top.required(MIXING, |field| field.table(|table| mixing::read(table, &origin)));
    // A broken mixing table must not hide what is wrong in the cure table: both are read.
    let dosed = mixing.as_ref().map_err(|reported| *reported);
    let cure = top.required(CURE, |field| field.table(|table| cure::read(table, &origin, dosed)));
    let known_cure = cure.as_ref().map(|read| &read.cure).map_err(|reported| *reported);
    let heat = heat::read(top, &origin, dosed, known_cure);
    let learned = learned::read(top, &origin, known_cure);
    let after_closing = top.optional(window::NEXT_LAYER, window::read);
    let limits = top.optional(LIMITS, |field| field.table(|table| limits::read(table, &origin)));

    let (cure, after_closing) = (cure?, after_closing?);
    window::check(top, &cure.stages, after_closing.as_ref());
    if let Ok(heat) = &heat {
        needs::check(top, &cure.stages, heat.as_ref());
    }
    let cure = match cure.cure {
        Cure::Thermal(thermal) => Cure::Thermal(Box::new(ThermalCure { heat: heat?, learned: learned?, ..*thermal })),
        light @ Cure::Light { .. } => light,
    };
    let limits = limits?.unwrap_or(LimitsRead::OPEN);
    Ok(Profile {
        id,
        name: name?.into_inner(),
        summary: summary?.into_inner(),
        density: density?.into_inner(),
        shrinkage: shrinkage?.into_inner(),
        mixing: mixing?,
        cure,
        after_closing: after_closing.map(Spanned::into_inner),
        humidity_limit: limits.humidity,
        layer_depth: limits.layer_depth,
        batch_mass: limits.batch_mass,
        tint_max: limits.tint_max,
        cautions: cautions?,
    })
}

#[cfg(test)]
mod tests;

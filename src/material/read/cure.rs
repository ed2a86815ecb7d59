//! What makes the material set: the `[cure]` table.

use super::figure::{Origin, usual};
use super::stages::{self, STAGE, Timed};
use super::{dose, law};
use crate::cure::RateLaw;
use crate::material::{Cure, Figure, Mixing, ReferenceAmount, ThermalCure};
use crate::strict::{Field, Key, Problem, Reported, Spanned, Table};
use crate::units::{Celsius, Grams, Millimetres, Q10};

const BY: Key = Key::new("by", "\"time and temperature\"");
const ADVICE: Key = Key::new("advice", "\"Cure 1 to 2 mm at a time under the light.\"");
const REFERENCE: Key = Key::new("reference_c", "20");
const REFERENCE_DEPTH: Key = Key::new("reference_depth_mm", "10");
const REFERENCE_MASS: Key = Key::new("reference_mass_g", "100");
const FLOOR: Key = Key::new("floor_c", "13");
const CEILING: Key = Key::new("ceiling_c", "32");

const THERMAL_KEYS: [Key; 10] = [
    REFERENCE,
    REFERENCE_DEPTH,
    REFERENCE_MASS,
    FLOOR,
    CEILING,
    law::Q10_KEY,
    law::ACTIVATION,
    dose::REFERENCE_DOSE,
    dose::EXPONENT,
    STAGE,
];

#[derive(Debug, Clone, Copy)]
enum By {
    Temperature,
    Light,
}

/// The cure, with the places of its stages for the checks that follow.
pub(super) struct CureRead {
    pub cure: Cure,
    pub stages: Vec<Timed>,
}

/// Reads the table. `mixing` says whether there is a dose; where it could not be read, nothing is said about doses.
pub(super) fn read(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
) -> Result<CureRead, Reported> {
    let origin = origin.within(table);
    let by =
        table.deciding(BY, |field| field.choice(&[("time and temperature", By::Temperature), ("light", By::Light)]))?;
    match by.get_ref() {
        By::Light => light(table, &by, mixing),
        By::Temperature => {
            table.unwanted(&[ADVICE], "advice is for light cure", "take it out, or write by = \"light\"");
            thermal(table, &origin, mixing)
        }
    }
}

fn light(table: &mut Table<'_>, by: &Spanned<By>, mixing: Result<&Mixing, Reported>) -> Result<CureRead, Reported> {
    let why = "light sets this material, so it has no temperature clock";
    table.unwanted(&THERMAL_KEYS, why, "take it out, or write by = \"time and temperature\"");
    if let Ok(Mixing::Catalysed { .. }) = mixing {
        let remedy = "write by = \"time and temperature\", or rule = \"one-part\" in [mixing]";
        let what = "a catalysed resin sets by itself, not by light";
        table.report(Problem::new(by.span(), what, Some("light"), remedy));
    }
    let advice = table.required(ADVICE, Field::text)?.into_inner();
    Ok(CureRead { cure: Cure::Light { advice }, stages: Vec::new() })
}

fn thermal(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
) -> Result<CureRead, Reported> {
    let mut celsius = |key| table.required(key, |field| origin.quantity(field, Celsius::new));
    let (reference, floor, ceiling) = (celsius(REFERENCE), celsius(FLOOR), celsius(CEILING));
    let amount = amount(table, origin);
    let law = law::read(table, origin);
    let dose = dose::read(table, origin, mixing);
    let stages = stages::read(table, origin);
    let (reference, floor, ceiling) = (reference?, floor?, ceiling?);
    temperatures(table, &reference, &floor, &ceiling);
    let (dose, stages) = (dose?, stages?);
    let cure = ThermalCure {
        reference_temperature: reference.into_inner(),
        reference_amount: amount?,
        reference_dose: dose.map(|dose| dose.reference),
        dose_exponent: dose.map(|dose| dose.exponent),
        law: law?.unwrap_or_else(trade_law),
        floor: floor.into_inner(),
        ceiling: ceiling.into_inner(),
        heat: None,
        learned: None,
        stages: stages.iter().map(|timed| timed.time.clone()).collect(),
    };
    Ok(CureRead { cure: Cure::Thermal(Box::new(cure)), stages })
}

fn amount(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<ReferenceAmount, Reported> {
    let depth = table.optional(REFERENCE_DEPTH, |field| origin.quantity(field, Millimetres::new));
    let mass = table.optional(REFERENCE_MASS, |field| origin.quantity(field, Grams::new));
    match (depth?, mass?) {
        (Some(_), Some(mass)) => {
            let what = "'reference_depth_mm' and 'reference_mass_g' are both given";
            let remedy = "keep the one for which the times hold and take the other out";
            let value = mass.get_ref().value.get().to_string();
            Err(table.report(Problem::new(mass.span(), what, Some(&value), remedy)))
        }
        (Some(depth), None) => Ok(ReferenceAmount::Depth(depth.into_inner())),
        (None, Some(mass)) => Ok(ReferenceAmount::Mass(mass.into_inner())),
        (None, None) => Err(table.missing(REFERENCE_DEPTH)),
    }
}

fn temperatures(
    table: &Table<'_>,
    reference: &Spanned<Figure<Celsius>>,
    floor: &Spanned<Figure<Celsius>>,
    ceiling: &Spanned<Figure<Celsius>>,
) {
    let get = |figure: &Spanned<Figure<Celsius>>| figure.get_ref().value.get();
    let (low, mid, high) = (get(floor), get(reference), get(ceiling));
    if low >= high {
        let what = format!("'floor_c' is not below 'ceiling_c', which is {high} °C");
        let remedy = format!("write floor_c = a temperature below {high}, or raise 'ceiling_c'");
        table.report(Problem::new(floor.span(), &what, Some(&low.to_string()), &remedy));
    } else if !(low..=high).contains(&mid) {
        let what = format!("'reference_c' is outside 'floor_c' to 'ceiling_c', {low} to {high} °C");
        let remedy = format!("write reference_c = a temperature from {low} to {high}");
        table.report(Problem::new(reference.span(), &what, Some(&mid.to_string()), &remedy));
    }
}

/// The rate doubles every 10 °C: what the trade assumes where a label says nothing.
fn trade_law() -> Figure<RateLaw> {
    let doubling = usual(Q10::new(2.0));
    Figure { value: RateLaw::Q10(doubling.value), from: doubling.from }
}

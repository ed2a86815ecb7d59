//! How a case file is read.

use super::Case;
use crate::cure::RateLaw;
use crate::heat::kinetics::{Kinetics, Resin};
use crate::strict::{Field, Key, Mistake, Problem, Read, Reported, Spanned, Table};
use crate::units::{Celsius, KjPerMol, Millimetres, Q10, UnitError};
use std::ops::RangeInclusive;

const DENSITY: Key = Key::new("density_kg_m3", "1130");
const SPECIFIC_HEAT: Key = Key::new("specific_heat_j_kgk", "1800");
const CONDUCTIVITY: Key = Key::new("conductivity_w_mk", "0.17");
const HEAT: Key = Key::new("heat_j_kg", "250000");
const K1: Key = Key::new("k1_per_s", "1e-5");
const K2: Key = Key::new("k2_per_s", "1e-3");
const ACTIVATION: Key = Key::new("activation_energy_j_mol", "50000");
const REFERENCE: Key = Key::new("reference_c", "25");
const THICKNESS: Key = Key::new("thickness_mm", "10");
const H_TOP: Key = Key::new("h_top_w_m2k", "10");
const H_BOTTOM: Key = Key::new("h_bottom_w_m2k", "0");
const AMBIENT: Key = Key::new("ambient_c", "25");
const START: Key = Key::new("start_c", "25");
const UNTIL: Key = Key::new("until_s", "36000");

/// Longest time a case is followed for want of another, s: a year.
const LONGEST_S: f64 = 365.0 * 86_400.0;

/// Reads a case file: a slab of resin between two faces, everything in SI units but lengths in mm and temperatures in °C.
pub fn read_case(source: &str) -> Result<Read<Case>, Vec<Problem>> {
    crate::strict::read(source, case)
}

fn case(top: &mut Table<'_>) -> Result<Case, Reported> {
    let density = figure(top, DENSITY, 1.0..=30_000.0, "a density in kg/m³ from 1 to 30000");
    let specific_heat = figure(top, SPECIFIC_HEAT, 1.0..=100_000.0, "a specific heat in J/kgK from 1 to 100000");
    let conductivity = figure(top, CONDUCTIVITY, 1e-4..=1e4, "a conductivity in W/mK from 0.0001 to 10000");
    let heat = figure(top, HEAT, 0.0..=1e7, "a heat of reaction in J/kg, 0 to 10000000");
    let mut speed = |key| figure(top, key, 0.0..=1e3, "a rate in 1/s, 0 to 1000");
    let (k1, k2) = (speed(K1), speed(K2));
    let law = top.required(ACTIVATION, arrhenius);
    let reference = top.optional(REFERENCE, |field| field.quantity(Celsius::new));
    let thickness = top.required(THICKNESS, |field| field.quantity(Millimetres::new));
    let mut face = |key| figure(top, key, 0.0..=1e9, "a heat transfer in W/m²K, 0 for none");
    let (h_top, h_bottom) = (face(H_TOP), face(H_BOTTOM));
    let mut temperature = |key| top.required(key, |field| field.quantity(Celsius::new));
    let (ambient, start) = (temperature(AMBIENT), temperature(START));
    let until = top.optional(UNTIL, |field| within(field, 1e-3..=1e10, "a time in seconds from 0.001 on"));

    let kinetics = Kinetics {
        k1_per_s: k1?,
        k2_per_s: k2?,
        heat_j_per_kg: heat?,
        law: law?.into_inner(),
        reference: reference?.map_or(Celsius::OF_RATES, Spanned::into_inner),
        limit: None,
    };
    let resin = Resin {
        density_kg_per_m3: density?,
        specific_heat_j_per_kgk: specific_heat?,
        conductivity_w_per_mk: conductivity?,
        kinetics,
    };
    let case = Case {
        resin,
        thickness: thickness?.into_inner(),
        h_top_w_per_m2k: h_top?,
        h_bottom_w_per_m2k: h_bottom?,
        ambient: ambient?.into_inner(),
        start: start?.into_inner(),
        until_s: LONGEST_S,
    };
    let until_s = until?.unwrap_or_else(|| enough_s(&case));
    Ok(Case { until_s, ..case })
}

fn figure(table: &mut Table<'_>, key: Key, range: RangeInclusive<f64>, expected: &str) -> Result<f64, Reported> {
    table.required(key, |field| within(field, range, expected))
}

fn within(field: Field<'_>, range: RangeInclusive<f64>, expected: &str) -> Result<f64, Reported> {
    let key = field.key();
    let judge = |figure: f64| if range.contains(&figure) { Ok(()) } else { Err(expected_of(key, expected)) };
    field.judged(Ok, judge).map(Spanned::into_inner)
}

fn expected_of(key: Key, expected: &str) -> Mistake {
    Mistake { what: format!("'{}' must be {expected}", key.name), remedy: format!("write {expected}, as in {key}") }
}

/// The rule of the rate; an activation energy of 0 is a rate that does not care for the temperature.
fn arrhenius(field: Field<'_>) -> Result<Spanned<RateLaw>, Reported> {
    let key = field.key();
    let law = |j_per_mol: f64| -> Result<RateLaw, UnitError> {
        if j_per_mol == 0.0 {
            Q10::new(1.0).map(RateLaw::Q10)
        } else {
            KjPerMol::new(j_per_mol / 1000.0).map(RateLaw::Arrhenius)
        }
    };
    let expected = "an activation energy in J/mol, 0 to 1000000";
    field.judged(law, |figure| law(figure).map(|_| ()).map_err(|_| expected_of(key, expected)))
}

/// Time enough for the slab to come to the temperature round it, and for the reaction at its slowest, s.
///
/// Conduction: twice L²/a, with a = λ / (ρ c). Faces: five times ρ c L / h, both together. Reaction at the starting
/// temperature: (ln((k1 + k2) / k1) + 10) / ((k1 + k2) r), from the solution of dα/dt = (k1 + k2 α)(1 − α) at a constant
/// temperature.
fn enough_s(case: &Case) -> f64 {
    let Resin { density_kg_per_m3, specific_heat_j_per_kgk, conductivity_w_per_mk, kinetics } = &case.resin;
    let thickness_m = case.thickness.get() / 1000.0;
    let stored = density_kg_per_m3 * specific_heat_j_per_kgk * thickness_m;
    let conduction_s = 2.0 * stored * thickness_m / conductivity_w_per_mk;
    let cooling_s = 5.0 * stored / (case.h_top_w_per_m2k + case.h_bottom_w_per_m2k);
    let (k1, speed) = (kinetics.k1_per_s, kinetics.k1_per_s + kinetics.k2_per_s);
    let rate = kinetics.law.rate(case.start.get(), kinetics.reference);
    let reaction_s = ((speed / k1).ln() + 10.0) / (speed * rate);
    // What is infinite never happens: a slab insulated on both sides, a reaction that does not begin.
    [conduction_s, cooling_s, reaction_s].into_iter().filter(|s| s.is_finite()).sum::<f64>().min(LONGEST_S)
}

#[cfg(test)]
mod tests;

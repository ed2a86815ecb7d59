//! What is known of the heat of cure: the `[heat]` table.

use super::cup::{self, CUP_START, Cup};
use super::figure::Origin;
use super::law;
use crate::material::{ConversionStop, Cure, Figure, HeatFigures, Mixing, ThermalCure};
use crate::strict::{Key, Reported, Spanned, Table, typed};
use crate::units::{Celsius, Conversion, JPerGK, RisePerC, WPerMK};

const HEAT: Key = Key::new("heat", "[heat]");
const GEL_CONVERSION: Key = Key::new("gel_conversion", "0.577");
const SPECIFIC_HEAT: Key = Key::new("specific_heat_j_per_gk", "1.7");
const CONDUCTIVITY: Key = Key::new("conductivity_w_per_mk", "0.2");
const PEAK_LIMIT: Key = Key::new("peak_limit_c", "80");
const STOPS_AT: Key = Key::new("stops_at", "0.85");
const STOPS_RISE: Key = Key::new("stops_rise_per_c", "0.005");

/// No casting resin gives off more (from memory of calorimetry: epoxy and amine some 400 to 500 J/g, styrene in
/// polyester some 350, acrylates up to 600).
const MOST_J_PER_G: f64 = 700.0;

/// Reads the table, if there is one. `mixing` says whether there is a dose; where a table could not be read, nothing is
/// held against it.
pub(super) fn read(
    top: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
    cure: Result<&Cure, Reported>,
) -> Result<Option<HeatFigures>, Reported> {
    let cure = match cure {
        Ok(Cure::Thermal(thermal)) => Some(thermal.as_ref()),
        Ok(Cure::Light { .. }) => {
            let why = "light sets this material, and its heat comes with the light";
            top.unwanted(&[HEAT], why, "take the table out, or write by = \"time and temperature\" in [cure]");
            return Ok(None);
        }
        Err(_) => None,
    };
    top.optional(HEAT, |field| field.table(|table| figures(table, origin, mixing, cure)))
}

fn figures(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
    cure: Option<&ThermalCure>,
) -> Result<HeatFigures, Reported> {
    let origin = origin.within(table);
    let cup = cup::read(table, &origin, mixing);
    let gel_conversion = table.required(GEL_CONVERSION, |field| origin.quantity(field, Conversion::new));
    let specific_heat = table.required(SPECIFIC_HEAT, |field| origin.quantity(field, JPerGK::new));
    let conductivity = table.required(CONDUCTIVITY, |field| origin.quantity(field, WPerMK::new));
    let law = law::read(table, &origin);
    let peak_limit = table.required(PEAK_LIMIT, |field| origin.quantity(field, Celsius::new));
    let stops = stops(table, &origin);
    if let (Ok(peak_limit), Some(cure)) = (&peak_limit, cure) {
        above_the_reference(table, peak_limit, cure);
    }
    if let (Ok(cup), Ok(specific_heat)) = (&cup, &specific_heat) {
        possible(table, cup, specific_heat.get_ref().value);
    }
    if let (Ok(cup), Ok(gel), Ok(Some(stops)), Some(cure)) = (&cup, &gel_conversion, &stops, cure) {
        gels_before_it_stops(table, cup, gel, stops, cure);
    }
    let cup = cup?;
    Ok(HeatFigures {
        cup_mass: cup.mass,
        cup_start: cup.start.into_inner(),
        cup_dose: cup.dose,
        gel: cup.gel,
        peak_after: cup.peak_after,
        peak: cup.peak.into_inner(),
        gel_conversion: gel_conversion?.into_inner(),
        specific_heat: specific_heat?.into_inner(),
        conductivity: conductivity?.into_inner(),
        law: law?,
        peak_limit: peak_limit?.into_inner(),
        stops: stops?,
    })
}

/// The share and its rise come together.
fn stops(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Option<ConversionStop>, Reported> {
    let at = table.optional(STOPS_AT, |field| origin.quantity(field, Conversion::new));
    let rise = table.optional(STOPS_RISE, |field| origin.quantity(field, RisePerC::new));
    match (at?, rise?) {
        (Some(at), Some(rise)) => Ok(Some(ConversionStop { at_reference: at.into_inner(), rise: rise.into_inner() })),
        (Some(_), None) => Err(table.missing(STOPS_RISE)),
        (None, Some(_)) => Err(table.missing(STOPS_AT)),
        (None, None) => Ok(None),
    }
}

fn above_the_reference(table: &Table<'_>, limit: &Spanned<Figure<Celsius>>, cure: &ThermalCure) {
    let reference = cure.reference_temperature.value;
    if limit.get_ref().value <= reference {
        let what = format!("'peak_limit_c' is not above 'reference_c' of [cure], which is {reference}");
        let remedy = format!("write the temperature a casting must not reach, above {}", reference.get());
        table.fault(limit.span(), &what, &remedy);
    }
}

/// What warmed the cup was given off in it: at least specific heat × rise, and more for what the room took away.
fn possible(table: &Table<'_>, cup: &Cup, specific_heat: JPerGK) {
    let (start, peak) = (cup.start.get_ref().value.get(), cup.peak.get_ref().value.get());
    let heat = specific_heat.get() * (peak - start);
    if heat > MOST_J_PER_G {
        let what = format!("such a cup gives off {heat:.0} J/g; no casting resin has more than {MOST_J_PER_G}");
        let most = (start + MOST_J_PER_G / specific_heat.get()).floor();
        let remedy = format!("write peak_c = {most} or less, or correct 'specific_heat_j_per_gk'");
        table.fault(cup.peak.span(), &what, &remedy);
    }
}

fn gels_before_it_stops(
    table: &Table<'_>,
    cup: &Cup,
    gel: &Spanned<Figure<Conversion>>,
    stops: &ConversionStop,
    cure: &ThermalCure,
) {
    let start = cup.start.get_ref().value;
    let most = stops.share_at(start, cure.reference_temperature.value);
    if gel.get_ref().value.get() >= most {
        let shown = typed(most);
        let what =
            format!("at '{}', {start}, the reaction stops at {shown}, before the cup has gelled", CUP_START.name);
        let remedy = format!("write gel_conversion = a share below {shown}, or raise '{}'", STOPS_AT.name);
        table.fault(gel.span(), &what, &remedy);
    }
}

//! The cup test of a data sheet: gel time, time to peak and peak exotherm of a cup left to itself.

use super::dose;
use super::figure::Origin;
use super::order::words;
use super::stages::hours;
use crate::material::{Figure, Mixing};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Celsius, DosePercent, Grams, Hours};

pub(super) const CUP_MASS: Key = Key::new("cup_mass_g", "100");
pub(super) const CUP_START: Key = Key::new("cup_c", "25");
const CUP_DOSE: Key = Key::new("cup_dose_percent", "1");
const GEL: Key = Key::new("gel", "\"20m\"");
const PEAK_AFTER: Key = Key::new("peak_after", "\"32m\"");
const PEAK: Key = Key::new("peak_c", "140");

/// A cup that warms by less says nothing of the heat: thermometers and rooms wander as much.
const LEAST_RISE_C: f64 = 3.0;

/// The cup, with the places that further checks need.
pub(super) struct Cup {
    pub mass: Figure<Grams>,
    pub start: Spanned<Figure<Celsius>>,
    pub dose: Option<Figure<DosePercent>>,
    pub gel: Figure<Hours>,
    pub peak_after: Figure<Hours>,
    pub peak: Spanned<Figure<Celsius>>,
}

/// Reads the cup's part of the `[heat]` table; `mixing` says whether there is a dose.
pub(super) fn read(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
) -> Result<Cup, Reported> {
    let mass = table.required(CUP_MASS, |field| origin.quantity(field, Grams::new));
    let start = table.required(CUP_START, |field| origin.quantity(field, Celsius::new));
    let dose = dose_of(table, origin, mixing);
    let gel = table.required(GEL, |field| origin.figure(field, hours));
    let peak_after = table.required(PEAK_AFTER, |field| origin.figure(field, hours));
    let peak = table.required(PEAK, |field| origin.quantity(field, Celsius::new));
    if let (Ok(gel), Ok(peak_after)) = (&gel, &peak_after) {
        gels_before_its_peak(table, gel, peak_after);
    }
    if let (Ok(start), Ok(peak)) = (&start, &peak) {
        warms(table, start, peak);
    }
    Ok(Cup {
        mass: mass?.into_inner(),
        start: start?,
        dose: dose?,
        gel: gel?.into_inner(),
        peak_after: peak_after?.into_inner(),
        peak: peak?,
    })
}

/// The dose in the cup. Where the mixing table could not be read nobody knows whether there is one, and nothing is said.
fn dose_of(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
) -> Result<Option<Figure<DosePercent>>, Reported> {
    match mixing {
        Ok(Mixing::Catalysed { min, max, .. }) => {
            let dose = table.optional(CUP_DOSE, |field| origin.quantity(field, DosePercent::new))?;
            if let Some(dose) = &dose {
                let remedy = "write the dose the cup was mixed with";
                dose::in_range(table, CUP_DOSE, dose, [min.value, max.value], remedy);
            }
            Ok(dose.map(Spanned::into_inner))
        }
        Ok(Mixing::TwoPart { .. } | Mixing::OnePart) => {
            let why = "only a catalysed resin has a dose";
            table.unwanted(&[CUP_DOSE], why, "take it out, or write rule = \"catalyst\" in [mixing]");
            Ok(None)
        }
        Err(reported) => table.optional(CUP_DOSE, |field| origin.figure(field, Field::number)).and(Err(reported)),
    }
}

fn gels_before_its_peak(table: &Table<'_>, gel: &Spanned<Figure<Hours>>, peak_after: &Spanned<Figure<Hours>>) {
    let (gels, peaks) = (gel.get_ref().value, peak_after.get_ref().value);
    if peaks <= gels {
        let at = words(gels);
        let what = format!("the cup is hottest before it has gelled, after {at}");
        let remedy = format!("write peak_after = a duration above {at}, both counted from first contact");
        table.fault(peak_after.span(), &what, &remedy);
    }
}

fn warms(table: &Table<'_>, start: &Spanned<Figure<Celsius>>, peak: &Spanned<Figure<Celsius>>) {
    let (from, to) = (start.get_ref().value.get(), peak.get_ref().value.get());
    if to <= from {
        let what = format!("'peak_c' is not above 'cup_c', which is {from} °C");
        let remedy = "write the hottest the cup got; a resin that warms by nothing to speak of has no [heat] table";
        table.fault(peak.span(), &what, remedy);
    } else if to - from < LEAST_RISE_C {
        let what = format!("'peak_c' is less than {LEAST_RISE_C} °C above 'cup_c', which is {from} °C");
        let remedy = "write the figures of a larger cup; such a small rise says nothing of the heat";
        table.fault(peak.span(), &what, remedy);
    }
}

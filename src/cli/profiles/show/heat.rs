//! What is known of the heat of cure, as a table.

use super::{law, law_words, line, row};
use crate::cli::words;
use crate::material::{Figure, HeatFigures};
use crate::units::{Celsius, Conversion, Hours};
use std::io::{self, Write};

pub(super) fn text(heat: &HeatFigures, reference: Celsius, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "\nHEAT of a cup left to itself, from first contact of the parts; then of the resin")?;
    row(out, "cup of", &heat.cup_mass)?;
    row(out, "parts and room at", &heat.cup_start)?;
    heat.cup_dose.map_or(Ok(()), |dose| row(out, "with a dose of", &dose))?;
    after(out, "gels after", heat.gel)?;
    after(out, "hottest after", heat.peak_after)?;
    row(out, "at its hottest", &heat.peak)?;
    share(out, "share reacted at gel", heat.gel_conversion)?;
    row(out, "specific heat", &heat.specific_heat)?;
    row(out, "conductivity", &heat.conductivity)?;
    heat.law.map_or(Ok(()), |own| row(out, law_words(own.value), &law(own)))?;
    row(out, "spoilt if hotter than", &heat.peak_limit)?;
    heat.stops.map_or(Ok(()), |stops| {
        share(out, &format!("at {reference} it stops at"), stops.at_reference)?;
        row(out, "more for each °C above", &stops.rise)
    })
}

fn after(out: &mut impl Write, label: &str, figure: Figure<Hours>) -> io::Result<()> {
    line(out, label, &words::duration(figure.value), figure.from.words())
}

fn share(out: &mut impl Write, label: &str, figure: Figure<Conversion>) -> io::Result<()> {
    line(out, label, &figure.value.get().to_string(), figure.from.words())
}

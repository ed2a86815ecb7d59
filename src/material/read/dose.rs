//! The dose the reference times hold for, and how the times follow another dose.

use super::figure::Origin;
use crate::material::{Figure, Mixing};
use crate::strict::{Field, Key, Problem, Reported, Spanned, Table};
use crate::units::DosePercent;

pub(super) const REFERENCE_DOSE: Key = Key::new("reference_dose_percent", "1");
pub(super) const EXPONENT: Key = Key::new("dose_exponent", "0.9");

/// What the trade and the literature report for n in `(dose_ref / dose)^n`.
const PLAUSIBLE_EXPONENT: std::ops::RangeInclusive<f64> = 0.4..=1.2;
/// Above this a doubled dose would set 32 times as fast: no resin does.
const LARGEST_EXPONENT: f64 = 5.0;

/// A catalysed material's dose rule.
#[derive(Debug, Clone, Copy)]
pub(super) struct DoseRule {
    pub reference: Figure<DosePercent>,
    pub exponent: Figure<f64>,
}

/// The dose rule where there is a dose. Where the mixing table could not be read nobody knows, and nothing is said.
pub(super) fn read(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    mixing: Result<&Mixing, Reported>,
) -> Result<Option<DoseRule>, Reported> {
    match mixing {
        Ok(Mixing::Catalysed { min, max, .. }) => {
            let reference = table.required(REFERENCE_DOSE, |field| origin.quantity(field, DosePercent::new));
            let exponent = table.required(EXPONENT, |field| origin.figure(field, Field::number));
            let (reference, exponent) = (reference?, exponent?);
            let remedy = "write the dose for which the times hold";
            in_range(table, REFERENCE_DOSE, &reference, [min.value, max.value], remedy);
            plausible(table, &exponent);
            Ok(Some(DoseRule { reference: reference.into_inner(), exponent: exponent.into_inner() }))
        }
        Ok(Mixing::TwoPart { .. } | Mixing::OnePart) => {
            let why = "only a catalysed resin has a dose";
            table.unwanted(&[REFERENCE_DOSE, EXPONENT], why, "take it out, or write rule = \"catalyst\" in [mixing]");
            Ok(None)
        }
        Err(reported) => {
            let seen = |table: &mut Table<'_>, key| table.optional(key, |field| origin.figure(field, Field::number));
            let (reference, exponent) = (seen(table, REFERENCE_DOSE), seen(table, EXPONENT));
            reference.and(exponent).and(Err(reported))
        }
    }
}

/// Reports a dose outside the least and the largest of the mixing table.
pub(super) fn in_range(
    table: &Table<'_>,
    key: Key,
    dose: &Spanned<Figure<DosePercent>>,
    [min, max]: [DosePercent; 2],
    remedy: &str,
) {
    let percent = dose.get_ref().value;
    if percent < min || percent > max {
        let (low, high) = (min.get(), max.get());
        let what = format!("'{}' is outside the doses of [mixing], {low} to {high} %", key.name);
        let remedy = format!("{remedy}, from {low} to {high}, or widen the doses");
        table.report(Problem::new(dose.span(), &what, Some(&percent.get().to_string()), &remedy));
    }
}

fn plausible(table: &Table<'_>, exponent: &Spanned<Figure<f64>>) {
    let n = exponent.get_ref().value;
    let value = n.to_string();
    if n <= 0.0 || n > LARGEST_EXPONENT {
        let what = "'dose_exponent' must be above 0 and at most 5: more catalyst sets faster";
        table.report(Problem::new(exponent.span(), what, Some(&value), "write dose_exponent = 0.9, the usual figure"));
    } else if !PLAUSIBLE_EXPONENT.contains(&n) {
        let what = "'dose_exponent' is outside 0.4 to 1.2, where resins are usually found";
        let remedy = "write dose_exponent = 0.9 unless your own trials say otherwise";
        table.warn(Problem::new(exponent.span(), what, Some(&value), remedy));
    }
}

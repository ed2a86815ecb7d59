//! How the material is made ready: the `[mixing]` table.

use super::figure::Origin;
use crate::material::{Figure, Mixing, Ratio};
use crate::strict::{Field, Key, Mistake, Problem, Reported, Spanned, Table};
use crate::units::{DosePercent, GramsPerMl};

const RULE: Key = Key::new("rule", "\"two-part\"");
const DOSE_MIN: Key = Key::new("dose_min_percent", "0.5");
const DOSE_USUAL: Key = Key::new("dose_usual_percent", "1");
const DOSE_MAX: Key = Key::new("dose_max_percent", "2");
const CATALYST_DENSITY: Key = Key::new("catalyst_density_g_per_ml", "1.1");
const BY_WEIGHT: Key = Key::new("by_weight", "\"100:83\"");
const BY_VOLUME: Key = Key::new("by_volume", "\"1:1\"");
const DENSITY_A: Key = Key::new("density_a_g_per_ml", "1.16");
const DENSITY_B: Key = Key::new("density_b_g_per_ml", "0.963");

const CATALYST_KEYS: [Key; 4] = [DOSE_MIN, DOSE_USUAL, DOSE_MAX, CATALYST_DENSITY];
const TWO_PART_KEYS: [Key; 4] = [BY_WEIGHT, BY_VOLUME, DENSITY_A, DENSITY_B];

/// How far the ratio by weight may be from the ratio by volume times the densities: labels round.
const RATIO_TOLERANCE: f64 = 0.03;

#[derive(Debug, Clone, Copy)]
enum Rule {
    Catalyst,
    TwoPart,
    OnePart,
}

const RULES: [(&str, Rule); 3] =
    [("catalyst", Rule::Catalyst), ("two-part", Rule::TwoPart), ("one-part", Rule::OnePart)];

/// Reads the whole table; the doses and the two ratios must agree among themselves.
pub(super) fn read(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let origin = origin.within(table);
    match table.deciding(RULE, |field| field.choice(&RULES))?.into_inner() {
        Rule::Catalyst => {
            table.unwanted(&TWO_PART_KEYS, "a catalysed resin has a dose, not a ratio", "take it out");
            catalysed(table, &origin)
        }
        Rule::TwoPart => {
            table.unwanted(&CATALYST_KEYS, "two parts are mixed in a ratio, not by a dose", "take it out");
            two_part(table, &origin)
        }
        Rule::OnePart => {
            let why = "a one-part material is used as it comes";
            table.unwanted(&CATALYST_KEYS, why, "take it out");
            table.unwanted(&TWO_PART_KEYS, why, "take it out");
            Ok(Mixing::OnePart)
        }
    }
}

fn catalysed(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let mut dose = |key| table.required(key, |field| origin.quantity(field, DosePercent::new));
    let (min, usual, max) = (dose(DOSE_MIN), dose(DOSE_USUAL), dose(DOSE_MAX));
    let density = table.required(CATALYST_DENSITY, |field| origin.quantity(field, GramsPerMl::new));
    let (min, usual, max) = (min?, usual?, max?);
    rising(table, [(DOSE_MIN, &min), (DOSE_USUAL, &usual), (DOSE_MAX, &max)]);
    Ok(Mixing::Catalysed {
        min: min.into_inner(),
        usual: usual.into_inner(),
        max: max.into_inner(),
        catalyst_density: density?.into_inner(),
    })
}

fn rising(table: &Table<'_>, doses: [(Key, &Spanned<Figure<DosePercent>>); 3]) {
    for [(lower_key, lower), (upper_key, upper)] in doses.array_windows() {
        let (low, high) = (lower.get_ref().value.get(), upper.get_ref().value.get());
        if low > high {
            let what = format!("'{}' is below '{}', which is {low} %", upper_key.name, lower_key.name);
            let remedy = format!("write {} = {low} or more, or lower '{}'", upper_key.name, lower_key.name);
            table.report(Problem::new(upper.span(), &what, Some(&high.to_string()), &remedy));
        }
    }
}

fn two_part(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Mixing, Reported> {
    let mut ratio = |key| table.optional(key, |field| origin.figure(field, |field| ratio_of(field, key)));
    let (by_weight, by_volume) = (ratio(BY_WEIGHT), ratio(BY_VOLUME));
    let mut density = |key| table.required(key, |field| origin.quantity(field, GramsPerMl::new));
    let (density_a, density_b) = (density(DENSITY_A), density(DENSITY_B));
    let (by_weight, by_volume) = (by_weight?, by_volume?);
    let (a, b) = (density_a?.into_inner(), density_b?.into_inner());
    let heavier = a.value.get() / b.value.get();
    let weigh = |volume: Ratio| Ratio { a: volume.a * heavier, b: volume.b };
    let (by_weight, by_volume) = match (by_weight, by_volume) {
        (None, None) => return Err(table.missing(BY_WEIGHT)),
        // The ratio that is not given follows from the other one and the densities, and has its origin.
        (Some(weight), None) => {
            let weight = weight.into_inner();
            let volume = Ratio { a: weight.value.a / heavier, b: weight.value.b };
            (weight, Figure { value: volume, from: weight.from })
        }
        (None, Some(volume)) => {
            let volume = volume.into_inner();
            (Figure { value: weigh(volume.value), from: volume.from }, volume)
        }
        (Some(weight), Some(volume)) => {
            agreeing(table, &weight, volume.get_ref().value, weigh(volume.get_ref().value));
            (weight.into_inner(), volume.into_inner())
        }
    };
    Ok(Mixing::TwoPart { by_weight, by_volume, density_a: a, density_b: b })
}

/// wA/wB = (vA ρA)/(vB ρB): the two ratios of one bottle cannot differ by more than the label's rounding.
fn agreeing(table: &Table<'_>, by_weight: &Spanned<Figure<Ratio>>, volume: Ratio, computed: Ratio) {
    let weight = by_weight.get_ref().value;
    let off = (weight.b / weight.a) / (computed.b / computed.a) - 1.0;
    if off.abs() > RATIO_TOLERANCE {
        let follows = format!("{}:{:.1}", weight.a, weight.a * computed.b / computed.a);
        let what = format!(
            "'by_weight' and 'by_volume' disagree: {}:{} by volume with these densities is {follows} by weight",
            volume.a, volume.b
        );
        let remedy = format!("write by_weight = \"{follows}\", or correct 'by_volume' or the densities from the label");
        let value = format!("{}:{}", weight.a, weight.b);
        table.report(Problem::new(by_weight.span(), &what, Some(&value), &remedy));
    }
}

fn ratio_of(field: Field<'_>, key: Key) -> Result<Spanned<Ratio>, Reported> {
    field.parsed(|text| {
        let part = |text: &str| text.trim().parse().ok().filter(|part: &f64| part.is_finite() && *part > 0.0);
        match text.split_once(':').map(|(a, b)| (part(a), part(b))) {
            Some((Some(a), Some(b))) => Ok(Ratio { a, b }),
            _ => Err(Mistake {
                what: format!("'{}' is no ratio of two figures above zero", key.name),
                remedy: format!("write parts of A and parts of B with a colon between, as in {key}"),
            }),
        }
    })
}

//! How the dose follows depth and stack: the `[mixing.dose_rule]` table.

use super::figure::Origin;
use super::stages::hours;
use crate::material::{DepthDose, DoseRule, Figure, WarmStack};
use crate::strict::{Field, Key, Problem, Reported, Spanned, Table};
use crate::units::{DosePercent, Millimetres};

pub(super) const DOSE_RULE: Key = Key::new("dose_rule", "[mixing.dose_rule]");
const BY_DEPTH: Key = Key::new("by_depth", "[{ depth_mm = 3, dose_percent = 2 }, { depth_mm = 20, dose_percent = 1 }]");
const DEPTH: Key = Key::new("depth_mm", "3");
const DOSE: Key = Key::new("dose_percent", "2");
const ON_WARM_LAYER: Key = Key::new("on_warm_layer", "[0.8, 0.6, 0.4]");
const WARM_FOR: Key = Key::new("warm_for", "\"3h\"");

/// Reads the rule. Its doses lie within `bounds`, the least and the largest dose, where these are known.
pub(super) fn read(
    table: &mut Table<'_>,
    origin: &Origin<'_>,
    bounds: Option<(DosePercent, DosePercent)>,
) -> Result<DoseRule, Reported> {
    let origin = origin.within(table);
    let points = table.required(BY_DEPTH, |field| field.counted(1..=usize::MAX)?.tables(|table| point(table, &origin)));
    let warm_stack = warm_stack(table, &origin);
    let points = points?;
    ordered(table, &points);
    if let Some((min, max)) = bounds.filter(|(min, max)| min <= max) {
        within(table, &points, min, max);
    }
    let by_depth = points
        .into_iter()
        .map(|Point { depth, dose }| DepthDose { depth: depth.into_inner(), dose: dose.into_inner() });
    Ok(DoseRule { by_depth: by_depth.collect(), warm_stack: warm_stack? })
}

struct Point {
    depth: Spanned<Figure<Millimetres>>,
    dose: Spanned<Figure<DosePercent>>,
}

fn point(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Point, Reported> {
    let origin = origin.within(table);
    let depth = table.required(DEPTH, |field| origin.quantity(field, Millimetres::new));
    let dose = table.required(DOSE, |field| origin.quantity(field, DosePercent::new));
    Ok(Point { depth: depth?, dose: dose? })
}

fn ordered(table: &Table<'_>, points: &[Point]) {
    for [first, second] in points.array_windows() {
        let (shallow, deep) = (first.depth.get_ref().value.get(), second.depth.get_ref().value.get());
        if deep <= shallow {
            let what = format!("'depth_mm' does not rise: the point before it is for {shallow} mm");
            let remedy = "write the points from the thinnest layer to the deepest, each depth once";
            table.report(Problem::new(second.depth.span(), &what, Some(&deep.to_string()), remedy));
        }
        let (before, dose) = (first.dose.get_ref().value.get(), second.dose.get_ref().value.get());
        if dose > before {
            let what = format!("'dose_percent' rises with the depth: the point before it has {before} %");
            let remedy = format!("write dose_percent = {before} or less: a deeper layer keeps its heat and takes less");
            table.report(Problem::new(second.dose.span(), &what, Some(&dose.to_string()), &remedy));
        }
    }
}

fn within(table: &Table<'_>, points: &[Point], min: DosePercent, max: DosePercent) {
    for dose in points.iter().map(|point| &point.dose) {
        let percent = dose.get_ref().value;
        if percent < min || percent > max {
            let (low, high) = (min.get(), max.get());
            let what = format!("'dose_percent' is outside the doses of [mixing], {low} to {high} %");
            let remedy = format!("write dose_percent = a dose from {low} to {high}, or widen the doses");
            table.report(Problem::new(dose.span(), &what, Some(&percent.get().to_string()), &remedy));
        }
    }
}

/// Factors and their time come together: a factor holds for as long as the layer below is warm.
fn warm_stack(table: &mut Table<'_>, origin: &Origin<'_>) -> Result<Option<WarmStack>, Reported> {
    let one = |item: Field<'_>| origin.figure(item, Field::number);
    let factors = table.optional(ON_WARM_LAYER, |field| field.counted(1..=usize::MAX)?.list("a list of figures", one));
    let warm_for = table.optional(WARM_FOR, |field| origin.figure(field, hours));
    match (factors?, warm_for?) {
        (Some(factors), Some(warm_for)) => {
            falling(table, &factors);
            let factors = factors.into_iter().map(Spanned::into_inner).collect();
            Ok(Some(WarmStack { factors, warm_for: warm_for.into_inner() }))
        }
        (Some(_), None) => Err(table.missing(WARM_FOR)),
        (None, Some(_)) => Err(table.missing(ON_WARM_LAYER)),
        (None, None) => Ok(None),
    }
}

fn falling(table: &Table<'_>, factors: &[Spanned<Figure<f64>>]) {
    let mut most = 1.0;
    for factor in factors {
        let value = factor.get_ref().value;
        if value <= 0.0 || value > most {
            let what = format!("a factor of 'on_warm_layer' must be above 0 and at most {most}");
            let remedy = format!(
                "a higher layer takes no more than the one below: write falling factors, as in {ON_WARM_LAYER}"
            );
            table.report(Problem::new(factor.span(), &what, Some(&value.to_string()), &remedy));
            return;
        }
        most = value;
    }
}

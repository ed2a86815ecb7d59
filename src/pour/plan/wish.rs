//! The dose with which the next layer can follow when the piece asks for it.

use super::dose::{Doses, doses, hundredths, of_hundredths};
use super::ground::Ground;
use super::warning::{Warning, WarningCode};
use super::words::{hours, percent};
use crate::cure::TemperatureCurve;
use crate::material::Stage;
use crate::root::narrowed;
use crate::units::{DosePercent, Hours};

/// A time this near to the one asked for meets it, as a share: about what a hundredth of a per cent does.
const MET: f64 = 0.02;

/// And this near it is looked no further.
const CLOSE: f64 = 0.005;

/// The dose that comes nearest, and when the next layer can follow with it, hours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Wished {
    pub dose: DosePercent,
    pub opens_h: f64,
    /// The profile's range ends before the time asked for is reached.
    pub missed: Option<RangeEnd>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RangeEnd {
    Largest,
    Least,
}

/// Of the profile's doses the one with which the next layer can follow `after` a layer as nearly as possible; `opens_h` says
/// when it can with a dose, and a stronger one opens sooner. `None` where it never can.
pub(super) fn nearest(doses: Doses, after: Hours, opens_h: impl Fn(DosePercent) -> Option<f64>) -> Option<Wished> {
    let early = |step: f64| {
        let opens_h = of_hundredths(step).and_then(&opens_h).unwrap_or(f64::INFINITY);
        (after.get() / opens_h).ln()
    };
    let at = |(step, early): (f64, f64), end: Option<RangeEnd>| {
        let opens_h = after.get() / early.exp();
        let dose = of_hundredths(step).filter(|_| opens_h.is_finite())?;
        Some(Wished { dose, opens_h, missed: end.filter(|_| early.abs() > MET) })
    };
    let [least, most] = [doses.least, doses.most].map(|dose| {
        let step = hundredths(dose.get());
        (step, early(step))
    });
    if most.1 <= 0.0 {
        return at(most, Some(RangeEnd::Largest));
    }
    if least.1 >= 0.0 {
        return at(least, Some(RangeEnd::Least));
    }
    let [late, soon] = narrowed([least, most], CLOSE, early);
    at(if late.1.abs() < soon.1.abs() { late } else { soon }, None)
}

/// Why this dose.
pub(super) fn reason(after: Hours, wished: &Wished) -> String {
    let (after, dose) = (hours(after.get()), percent(wished.dose.get()));
    match wished.missed {
        None => format!("for the next layer after {after}: {dose}"),
        Some(end) => {
            format!(
                "for the next layer after {after}: {}, {dose}; after about {}",
                end_words(end),
                hours(wished.opens_h)
            )
        }
    }
}

/// That the next layer cannot follow in time, for the profile's range ends.
pub(super) fn missed(number: u32, after: Hours, wished: &Wished) -> Option<Warning> {
    let end = wished.missed?;
    let text = format!(
        "layer {number}: the next layer is wanted after {}, but at {}, {}, it can follow after about {}",
        hours(after.get()),
        end_words(end),
        percent(wished.dose.get()),
        hours(wished.opens_h)
    );
    Some(Warning::of_layer(WarningCode::NextLayerMissed, number, &text))
}

/// That it cannot, for the layer must stay cool; `opens_h` is when it can.
pub(super) fn held_back(number: u32, after: Hours, dose: DosePercent, opens_h: Option<f64>) -> Warning {
    let opens = opens_h
        .map_or("it cannot follow".to_owned(), |opens_h| format!("it can follow after about {}", hours(opens_h)));
    let text = format!(
        "layer {number}: the next layer is wanted after {}, but at {}, which heats less, {opens}",
        hours(after.get()),
        percent(dose.get())
    );
    Warning::of_layer(WarningCode::NextLayerMissed, number, &text)
}

/// That its window never opens on this bench, whatever the dose.
pub(super) fn never(number: u32, after: Hours) -> Warning {
    let text = format!(
        "layer {number}: the next layer is wanted after {}, but no dose opens its window on this bench: dosed by the rule",
        hours(after.get())
    );
    Warning::of_layer(WarningCode::NextLayerMissed, number, &text)
}

fn end_words(end: RangeEnd) -> &'static str {
    match end {
        RangeEnd::Largest => "the profile's largest dose",
        RangeEnd::Least => "the profile's least dose",
    }
}

/// When the next layer can follow on the temperature of the bench alone, hours.
pub(super) fn plain_opens_h(ground: &Ground<'_>, dose: DosePercent) -> Option<f64> {
    let cure = ground.profile.thermal()?;
    let bench = TemperatureCurve::constant(ground.bench);
    cure.after_h(cure.stage(Stage::NextLayerOpens)?, Some(dose), &bench, 0.0)
}

/// What the piece asks for, where the material can do it.
pub(super) fn of(ground: &Ground<'_>) -> Option<Hours> {
    ground.piece.layers.next_layer_after.filter(|_| why_not(ground).is_none())
}

/// Says once where no dose can move the next layer.
pub(super) fn check(ground: &Ground<'_>, warnings: &mut Vec<Warning>) {
    let Some((after, why)) = ground.piece.layers.next_layer_after.zip(why_not(ground)) else { return };
    let text = format!(
        "the next layer is wanted after {}, but {why}: pour it when the clock says so, and take out next_layer_after",
        hours(after.get())
    );
    warnings.push(Warning::of_piece(WarningCode::NextLayerMissed, &text));
}

fn why_not(ground: &Ground<'_>) -> Option<&'static str> {
    let opens = ground.profile.thermal().and_then(|cure| cure.stage(Stage::NextLayerOpens));
    if doses(ground).is_none() {
        Some("this material has no dose to choose")
    } else if opens.is_none() {
        Some("its profile does not say when the next layer can follow")
    } else {
        None
    }
}

//! The dose of a layer: by the rule, or by when the next one is to follow, and no more than stays cool.

use super::dose::{self, Doses, Place, Ruled};
use super::follow::{Cooling, Following, Hottest, Like, Top};
use super::ground::Ground;
use super::outcome::Chosen;
use super::warning::{Warning, WarningCode};
use super::wish;
use super::words::{percent, short};
use crate::text::PlainText;
use crate::units::{DosePercent, Hours};

/// A layer that is poured on sooner is cooled by that.
pub(super) const LATE: &str = ", should the next layer come late";

/// A dose with its reasons, before the heat is looked at.
struct Asked {
    dose: DosePercent,
    reasons: Vec<String>,
    held: Option<Held>,
    /// When the next layer is to follow, where that made the dose.
    after: Option<Hours>,
}

/// A limit of the profile's held the dose: what is said of it if it stays, and if the heat lowers it.
struct Held {
    stays: Option<String>,
    lowered: Option<String>,
    warning: Warning,
}

/// Chooses the dose of the next layer of a plan, and pours it in the model; `None` for a material that has no dose.
pub(super) fn choose(
    ground: &Ground<'_>,
    place: Place,
    following: Option<&mut Following<'_>>,
    warnings: &mut Vec<Warning>,
) -> Option<Chosen> {
    let by_rule = dose::ruled(ground, place).zip(dose::doses(ground));
    let plain = |dose| wish::plain_opens_h(ground, dose);
    let Some(following) = following else {
        let (ruled, doses) = by_rule?;
        return Some(stays(asked(ground, place, ruled, doses, plain, warnings), warnings));
    };
    following.wait();
    let Some((ruled, doses)) = by_rule else {
        following.remember();
        following.pour(None);
        return None;
    };
    let like = Like { place, wanted: ruled.wanted };
    if !following.is_ahead() {
        return Some(match following.last_like(like) {
            Some((number, dose)) if dose != ruled.dose => as_like(ruled, number, dose),
            Some(_) => stays(by_the_rule(place, ruled), warnings),
            None => stays(asked(ground, place, ruled, doses, plain, warnings), warnings),
        });
    }
    let asked = asked(ground, place, ruled, doses, |dose| following.opens_h(dose), warnings);
    let cooling = following.cool(like, doses.least, asked.dose);
    let chosen = match &cooling {
        Cooling::Cool => stays(asked, warnings),
        Cooling::Lowered(dose, over) => {
            let reason = lowered_words(place, over, *dose, asked.dose);
            lowered(place, asked, following, *dose, reason, warnings)
        }
        Cooling::TooHot(over) => {
            let reason = too_hot_words(over, doses.least);
            lowered(place, asked, following, doses.least, reason, warnings)
        }
    };
    following.note(like, chosen.dose, cooling);
    following.pour(Some(chosen.dose));
    Some(chosen)
}

/// The dose that was settled on for this layer, where that is one the profile allows.
fn settled(ground: &Ground<'_>, place: Place) -> Option<DosePercent> {
    let (_, dose) = ground.progress.settled.filter(|(number, _)| *number == place.number)?;
    dose::doses(ground).filter(|doses| dose >= doses.least && dose <= doses.most).map(|_| dose)
}

/// The dose for the next layer's time, where the piece asks for one and this layer has a next one; else by the rule.
fn asked(
    ground: &Ground<'_>,
    place: Place,
    ruled: Ruled,
    doses: Doses,
    opens_h: impl Fn(DosePercent) -> Option<f64>,
    warnings: &mut Vec<Warning>,
) -> Asked {
    if let Some(dose) = settled(ground, place) {
        let reason = format!("settled with the plan for the night: {}", percent(dose.get()));
        return Asked { dose, reasons: vec![reason], held: None, after: None };
    }
    let Some(after) = wish::of(ground).filter(|_| place.followed) else { return by_the_rule(place, ruled) };
    let Some(wished) = wish::nearest(doses, after, opens_h) else {
        warnings.push(wish::never(place.number, after));
        return by_the_rule(place, ruled);
    };
    let held = wish::missed(place.number, after, &wished).map(|warning| Held { stays: None, lowered: None, warning });
    Asked { dose: wished.dose, reasons: vec![wish::reason(after, &wished)], held, after: Some(after) }
}

fn by_the_rule(place: Place, ruled: Ruled) -> Asked {
    let held = ruled.limit.map(|limit| {
        let stays = format!("{}: {}", limit.at, limit.so);
        let text = format!("layer {}: {stays}", place.number);
        let warning = Warning::of_layer(WarningCode::DoseAtLimit, place.number, &text);
        Held { stays: Some(stays), lowered: Some(limit.at), warning }
    });
    Asked { dose: ruled.dose, reasons: ruled.reasons, held, after: None }
}

fn stays(asked: Asked, warnings: &mut Vec<Warning>) -> Chosen {
    let Asked { dose, mut reasons, held, .. } = asked;
    if let Some(held) = held {
        warnings.push(held.warning);
        reasons.extend(held.stays);
    }
    Chosen { dose, reasons: plain_texts(&reasons) }
}

/// `dose` in place of what was asked for, because that was too hot.
fn lowered(
    place: Place,
    asked: Asked,
    following: &Following<'_>,
    dose: DosePercent,
    reason: String,
    warnings: &mut Vec<Warning>,
) -> Chosen {
    if dose == asked.dose {
        let Chosen { mut reasons, .. } = stays(asked, warnings);
        reasons.push(PlainText::new(&reason));
        return Chosen { dose, reasons };
    }
    let mut reasons = asked.reasons;
    reasons.extend(asked.held.and_then(|held| held.lowered));
    reasons.push(reason);
    warnings.extend(asked.after.map(|after| wish::held_back(place.number, after, dose, following.opens_h(dose))));
    Chosen { dose, reasons: plain_texts(&reasons) }
}

/// The dose of layer `number`, which is like this one, for it was followed and this one is not.
fn as_like(ruled: Ruled, number: u32, dose: DosePercent) -> Chosen {
    let mut reasons = ruled.reasons;
    reasons.push(format!("as layer {number}, the last such one that was followed: {}", percent(dose.get())));
    Chosen { dose, reasons: plain_texts(&reasons) }
}

fn plain_texts(reasons: &[String]) -> Vec<PlainText> {
    reasons.iter().map(|reason| PlainText::new(reason)).collect()
}

fn lowered_words(place: Place, over: &Hottest, dose: DosePercent, asked: DosePercent) -> String {
    let factor = short(dose.get() / asked.get());
    let late = if place.followed && over.top == Top::Open { LATE } else { "" };
    let words =
        format!("stays under {} °C instead of about {:.0} °C{late}: ×{factor}", short(over.limit_c), over.peak_c);
    match &over.what {
        Some(what) => format!("{what} {words}"),
        None => words,
    }
}

fn too_hot_words(over: &Hottest, least: DosePercent) -> String {
    let words = format!("over {} °C even at the profile's least, {}", short(over.limit_c), percent(least.get()));
    match &over.what {
        Some(what) => format!("{what} gets {words}"),
        None => words,
    }
}

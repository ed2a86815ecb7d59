//! A fit of plain figures: so many hours at one temperature and one dose, as a table of one's own may have them.
//!
//! `ln t = b0 + (rule) + n ln(dose_ref/dose) + σZ`, with a b0 for each stage: hours at the reference temperature and dose.

use super::datum::{Datum, Span};
use super::exposure::Exposure;
use super::fit::{Fit, Prior, Undetermined, fit};
use super::shape::{Shape, eta_of};
use crate::cure::{RateLaw, dose_strength};
use crate::material::Stage;
use crate::units::{Celsius, DosePercent, Hours, KjPerMol, Q10};
use nalgebra::{DMatrix, DVector};

/// One line: a stage seen at a constant temperature.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainLook {
    /// `None` where the table has no stages: all lines are of the same.
    pub stage: Option<Stage>,
    pub celsius: Celsius,
    pub dose: Option<DosePercent>,
    /// Not there yet; `None`: nobody looked.
    pub after: Option<Hours>,
    /// There; `None`: it was not seen. The same as `after`: that very moment.
    pub by: Option<Hours>,
    /// How many alike.
    pub count: u32,
}

/// The form of the temperature rule to fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RuleForm {
    Q10,
    Activation,
}

/// What is to be fitted, and by what it is told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlainAsk {
    pub form: RuleForm,
    /// For which b0 is told, where the looks were at more than one temperature.
    pub reference: Celsius,
    /// Likewise.
    pub reference_dose: DosePercent,
    /// Whether common practice helps where the looks are few: about doubling every 10 °C, a dose exponent about 0.9, a
    /// spread about 0.3.
    pub prior: bool,
}

/// A figure with its standard error.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    pub value: f64,
    /// `None` where the data do not say.
    pub standard_error: Option<f64>,
}

/// What came out.
#[derive(Debug, Clone, PartialEq)]
pub struct PlainFit {
    /// ln of the hours at the reference, for each stage in the order of [`Stage`].
    pub b0: Vec<(Option<Stage>, Estimate)>,
    /// kJ/mol or q10, as was asked; `None` where all looks were at one temperature.
    pub temperature: Option<Estimate>,
    /// n in `(dose_ref/dose)^n`; `None` where there is only one dose, or none.
    pub dose_exponent: Option<Estimate>,
    /// Of ln(time).
    pub sigma: Estimate,
    pub ln_likelihood: f64,
    /// For which b0 holds.
    pub reference: Celsius,
    pub reference_dose: Option<DosePercent>,
    pub looks: u32,
    pub steps: usize,
    law: RateLaw,
    fit: Fit,
    /// Least and most warmth that was seen.
    seen: (f64, f64),
}

/// Why there is no fit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum NoFit {
    #[error("there are no looks to fit")]
    Nothing,
    #[error("{0} was never seen reached; without an upper end no time follows. Add a look at which it was there")]
    NeverReached(StageName),
    #[error(
        "{0} was always there at the first look; without a lower end no time follows. Add a look at which it was not \
         there yet"
    )]
    AlwaysThere(StageName),
    #[error("some lines give a dose and others do not; write it in all of them, or in none")]
    SomeDoses,
    #[error(
        "the looks do not tell a time: they are too few, or none of them brackets it. Add one before and one after"
    )]
    Undetermined,
}

/// A stage in an error.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct StageName(Option<Stage>);

impl std::fmt::Display for StageName {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.0 {
            Some(stage) => write!(f, "'{stage}'"),
            None => f.write_str("the stage"),
        }
    }
}

/// Fits `looks`.
pub fn fit_plain(looks: &[PlainLook], ask: &PlainAsk) -> Result<PlainFit, NoFit> {
    let first = looks.first().ok_or(NoFit::Nothing)?;
    let mut stages: Vec<Option<Stage>> = looks.iter().map(|look| look.stage).collect();
    stages.sort_unstable();
    stages.dedup();
    stages.iter().try_for_each(|stage| bounded(looks, *stage))?;
    if looks.iter().any(|look| look.dose.is_some() != first.dose.is_some()) {
        return Err(NoFit::SomeDoses);
    }
    let warm = looks.iter().any(|look| look.celsius != first.celsius);
    let dosed = looks.iter().any(|look| look.dose != first.dose);
    let reference = if warm { ask.reference } else { first.celsius };
    let reference_dose = if dosed { Some(ask.reference_dose) } else { first.dose };
    let shape = Shape { stages: stages.len(), rules: 1, dosed };
    let law = usual_law(ask.form);
    let data: Vec<Datum> = looks
        .iter()
        .map(|look| Datum {
            stage: stages.iter().position(|stage| *stage == look.stage).unwrap_or(0),
            rule: 0,
            span: span(look, law.warmth(look.celsius.get(), reference)),
            strength: dose_strength(reference_dose, look.dose),
            offset: 0.0,
            spread_ratio: 1.0,
            slip: None,
            count: f64::from(look.count),
        })
        .collect();
    let (prior, pinned) = prior(shape, ask, law, warm);
    // The line first; where that leads nowhere, from a wide spread.
    let line = start(shape, &data, law);
    let mut wide = line.clone();
    wide[shape.spread()] = 0.0;
    let fit = fit(shape, &data, &prior, std::slice::from_ref(&line), &pinned)
        .or_else(|Undetermined| fit(shape, &data, &prior, &[wide], &pinned))
        .map_err(|Undetermined| NoFit::Undetermined)?;
    let estimate = |place: usize| Estimate { value: fit.at[place], standard_error: Some(fit.sd(place)) };
    Ok(PlainFit {
        b0: stages.iter().enumerate().map(|(i, stage)| (*stage, estimate(shape.stage(i)))).collect(),
        temperature: warm.then(|| temperature(&fit, ask.form)),
        dose_exponent: shape.dose().map(estimate),
        sigma: Estimate { value: fit.spread(), standard_error: fit.spread_sd() },
        ln_likelihood: fit.ln_likelihood,
        reference,
        reference_dose,
        looks: looks.iter().map(|look| look.count).sum(),
        steps: fit.steps,
        law,
        seen: seen(data.iter()),
        fit,
    })
}

impl PlainFit {
    /// ln of the hours at another temperature and dose, with the standard deviation of one more batch there; `None` where
    /// all looks were at one temperature or dose and this is another.
    pub fn predict(&self, stage: Option<Stage>, celsius: Celsius, dose: Option<DosePercent>) -> Option<(f64, f64)> {
        let shape = self.fit.shape;
        let place = self.b0.iter().position(|(of, _)| *of == stage)?;
        let strength = dose_strength(self.reference_dose, dose);
        if (self.temperature.is_none() && celsius != self.reference) || (!shape.dosed && strength != 0.0) {
            return None;
        }
        let warmth = self.law.warmth(celsius.get(), self.reference);
        let coefficient = self.fit.at[shape.rule(0)];
        let exponent = shape.dose().map_or(0.0, |dose| self.fit.at[dose]);
        let likely = self.fit.at[shape.stage(place)] - coefficient * warmth + exponent * strength;
        let doubt = self.fit.doubt(place, 0, self.seen);
        Some((likely, self.fit.spread().hypot(doubt.sd(coefficient, warmth, strength))))
    }
}

/// Least and most mean warmth of the looks.
pub(super) fn seen<'d>(data: impl Iterator<Item = &'d Datum>) -> (f64, f64) {
    let warmths = data.map(|datum| datum.span.warmth());
    warmths.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), warmth| (low.min(warmth), high.max(warmth)))
}

/// Whether the time of a stage has an upper and a lower end somewhere.
fn bounded(looks: &[PlainLook], stage: Option<Stage>) -> Result<(), NoFit> {
    let of = || looks.iter().filter(|look| look.stage == stage);
    let nothing = |hours: Option<Hours>| hours.is_none_or(|hours| hours == Hours::ZERO);
    if of().all(|look| look.by.is_none()) {
        Err(NoFit::NeverReached(StageName(stage)))
    } else if of().all(|look| nothing(look.after)) {
        Err(NoFit::AlwaysThere(StageName(stage)))
    } else {
        Ok(())
    }
}

fn usual_law(form: RuleForm) -> RateLaw {
    match form {
        RuleForm::Q10 => RateLaw::Q10(Q10::DOUBLING),
        RuleForm::Activation => RateLaw::Arrhenius(KjPerMol::DOUBLING),
    }
}

fn span(look: &PlainLook, warmth: f64) -> Span {
    let hours = |hours: Option<Hours>| hours.map(Hours::get).filter(|hours| *hours > 0.0);
    let exposure = |hours| Exposure::constant(warmth, hours);
    match (hours(look.after), hours(look.by)) {
        (Some(after), Some(by)) if after >= by => Span::At { at: exposure(by), hours: by },
        (Some(after), Some(by)) => Span::Between { after: exposure(after), by: exposure(by) },
        (Some(after), None) => Span::After(exposure(after)),
        (None, Some(by)) => Span::By(exposure(by)),
        // Never reached, and never looked at: it says nothing, and a look after next to no time says as much.
        (None, None) => Span::After(exposure(f64::MIN_POSITIVE)),
    }
}

/// A parameter that no look tells of is pinned: its value then changes nothing.
fn prior(shape: Shape, ask: &PlainAsk, law: RateLaw, warm: bool) -> (Prior, Vec<usize>) {
    let mut prior = Prior::none(shape);
    let mut pinned = Vec::new();
    if ask.prior {
        prior.know(shape.rule(0), law.coefficient(), law.coefficient() * super::prior::RULE_SHARE);
        prior.know(shape.spread(), eta_of(super::prior::SPREAD), super::prior::SPREAD_SD);
        if let Some(dose) = shape.dose() {
            prior.know(dose, super::prior::EXPONENT, super::prior::EXPONENT_SD);
        }
    }
    if !warm {
        prior.know(shape.rule(0), law.coefficient(), 1.0);
        pinned.push(shape.rule(0));
    }
    (prior, pinned)
}

/// Where the line through the middles of what was seen lies (least squares); open ends count as where they begin. With it
/// Newton's steps are few.
fn start(shape: Shape, data: &[Datum], law: RateLaw) -> DVector<f64> {
    let fixed = shape.spread();
    let mut normal = DMatrix::zeros(fixed, fixed);
    let mut right = DVector::zeros(fixed);
    let usual = |place: usize| if Some(place) == shape.dose() { super::prior::EXPONENT } else { law.coefficient() };
    for place in shape.stages..fixed {
        // Held a little near the usual, so that what no look tells has a place as well.
        normal[(place, place)] = 1e-6;
        right[place] = 1e-6 * usual(place);
    }
    let mut squares = 0.0;
    for datum in data {
        let row = [(shape.stage(datum.stage), 1.0), (shape.rule(0), -datum.span.warmth())];
        let row = row.into_iter().chain(shape.dose().map(|place| (place, datum.strength))).collect::<Vec<_>>();
        let ln_hours = datum.span.ln_hours();
        squares += ln_hours * ln_hours;
        for (i, a) in &row {
            right[*i] += a * ln_hours;
            for (j, b) in &row {
                normal[(*i, *j)] += a * b;
            }
        }
    }
    let mut at = DVector::zeros(shape.len());
    at[shape.spread()] = eta_of(super::prior::SPREAD);
    if let Some(line) = normal.cholesky().map(|factor| factor.solve(&right)) {
        let left = (squares - line.dot(&right)).max(0.0) / data.len() as f64;
        at.rows_mut(0, fixed).copy_from(&line);
        at[shape.spread()] = eta_of(left.sqrt().clamp(0.1, 1.0));
    }
    at
}

fn temperature(fit: &Fit, form: RuleForm) -> Estimate {
    let place = fit.shape.rule(0);
    let (value, sd) = (fit.at[place], fit.sd(place));
    match form {
        RuleForm::Activation => Estimate { value, standard_error: Some(sd) },
        RuleForm::Q10 => Estimate { value: value.exp(), standard_error: Some(value.exp() * sd) },
    }
}

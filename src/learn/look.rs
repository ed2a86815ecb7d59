//! An observation with all that is known of it, ready to be learned from.

use super::datum::{Datum, Slip, Span};
use super::exposure::Exposure;
use super::likelihood::ln_likelihood_of;
use super::shop::ShopModel;
use crate::cure::{AgeCurve, TemperatureCurve, dose_strength};
use crate::material::Stage;
use crate::units::DosePercent;
use std::sync::Arc;

/// How probable a slip is before anything else is known of an entry: one entry in twenty of those who are sure, one in three
/// of those who guess (own working values).
const SLIP_SURE: f64 = 0.05;
const SLIP_GUESS: f64 = 0.3;
/// A slip may be anything within some factor of what the label says: ln of time.
const SLIP_SD: f64 = 1.5;

/// When a stage of one batch was reached, as far as anybody knows.
#[derive(Debug, Clone, PartialEq)]
pub struct Look {
    pub stage: Stage,
    /// Hours from first contact: not there yet; `None`: nobody looked.
    pub after_h: Option<f64>,
    /// There; `None`: it was not seen.
    pub by_h: Option<f64>,
    /// The bench in hours from first contact.
    pub bench: Arc<TemperatureCurve>,
    pub dose: Option<DosePercent>,
    /// What the resin's own heat does: ln of the age by the bench that it leaves to be gained.
    pub own_heat: f64,
    /// Whoever wrote it down was not sure.
    pub guessed: bool,
}

/// Why a look tells nothing of the material.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TellsNothing {
    /// The profile has no such stage.
    NoSuchStage,
    /// It was reached although the clock stood from first contact on.
    UnderTheFloor,
    /// It was looked for only while it was too cool for it, or at once.
    TooCool,
}

impl Look {
    /// The look as the likelihood takes it.
    pub(super) fn datum(&self, model: &ShopModel) -> Result<Datum, TellsNothing> {
        let stage = model.place(self.stage).ok_or(TellsNothing::NoSuchStage)?;
        let term = &model.stages[stage];
        let rule = &model.rules[term.rule].rule;
        let until = |hours: f64| Exposure::along(&self.bench, rule, 0.0, hours);
        // Not reached in the cold says nothing: what counts is the age when it was last warm enough.
        let tried_h = match (self.after_h, term.least_c) {
            (Some(after_h), Some(least_c)) => AgeCurve::new(&self.bench, *rule, 0.0).warm_until(after_h, least_c),
            (after_h, _) => after_h,
        };
        let after = tried_h.filter(|hours| *hours > 0.0).and_then(until);
        let by = self.by_h.map(|hours| until(hours).ok_or(TellsNothing::UnderTheFloor)).transpose()?;
        let span = match (after, by) {
            (Some(after), Some(by)) => Span::Between { after, by },
            (Some(after), None) => Span::After(after),
            (None, Some(by)) => Span::By(by),
            (None, None) => return Err(TellsNothing::TooCool),
        };
        let mut datum = Datum {
            stage,
            rule: term.rule,
            span,
            strength: dose_strength(model.dose.map(|dose| dose.reference), self.dose),
            offset: term.label.get().ln() + self.own_heat,
            spread_ratio: term.ratio,
            slip: None,
            count: 1.0,
        };
        let centre = datum.offset + model.dose.map_or(0.0, |dose| dose.exponent) * datum.strength;
        let ln_likelihood = ln_likelihood_of(&datum, rule.law.coefficient(), centre, SLIP_SD);
        let probability = if self.guessed { SLIP_GUESS } else { SLIP_SURE };
        datum.slip = Some(Slip { probability, ln_likelihood });
        Ok(datum)
    }
}

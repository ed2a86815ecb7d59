//! What a profile file says of figures that were learned: from how many observations, what stood there before, and what is
//! still unknown of them.

use super::profile::{Cure, Figure, Profile, Provenance, ThermalCure};
use super::stage::Stage;
use crate::cure::{Doubt, RateLaw};
use crate::text::PlainText;
use crate::units::{Hours, SpreadFactor};

/// The record of a learning.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// The day.
    pub on: PlainText,
    /// Used.
    pub observations: u32,
    pub batches: u32,
    /// Before; `None` where the material's rule was not learned.
    pub law_was: Option<Figure<RateLaw>>,
    pub exponent_was: Option<Figure<f64>>,
    pub cup_was: Option<CupWas>,
    pub stages: Vec<LearnedStage>,
}

/// The times of the `[heat]` cup before: they move with the gel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CupWas {
    pub gel: Figure<Hours>,
    pub peak_after: Figure<Hours>,
}

/// One stage of the record.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LearnedStage {
    pub stage: Stage,
    /// Of this stage; 0 where it only went along with the others.
    pub observations: u32,
    pub after_was: Figure<Hours>,
    pub spread_was: Figure<SpreadFactor>,
    /// Of a rule of its own.
    pub law_was: Option<Figure<RateLaw>>,
    pub doubt: Doubt,
}

impl ThermalCure {
    /// What was learned of a stage; `None` where its time is not a learned one.
    pub fn learned_of(&self, stage: Stage) -> Option<&LearnedStage> {
        let is_learned = self.stage(stage)?.after.from == Provenance::Learned;
        self.learned.as_ref()?.stages.iter().find(|learned| learned.stage == stage && is_learned)
    }

    /// The same as the label has it: every learned figure of which the record says what it was is that again. A figure the user
    /// has put in since stays.
    #[must_use]
    pub fn as_labelled(&self) -> Self {
        let mut label = self.clone();
        let Some(learned) = label.learned.take() else { return label };
        restore(&mut label.law, learned.law_was);
        if let Some(exponent) = &mut label.dose_exponent {
            restore(exponent, learned.exponent_was);
        }
        if let (Some(heat), Some(was)) = (&mut label.heat, learned.cup_was) {
            restore(&mut heat.gel, Some(was.gel));
            restore(&mut heat.peak_after, Some(was.peak_after));
        }
        for was in &learned.stages {
            let Some(time) = label.stages.iter_mut().find(|time| time.stage == was.stage) else { continue };
            restore(&mut time.after, Some(was.after_was));
            restore(&mut time.spread, Some(was.spread_was));
            if let Some(law) = &mut time.law {
                restore(law, was.law_was);
            }
        }
        label
    }
}

fn restore<T>(figure: &mut Figure<T>, was: Option<Figure<T>>) {
    if let Some(was) = was.filter(|_| figure.from == Provenance::Learned) {
        *figure = was;
    }
}

impl Profile {
    /// The profile as the label has it, with nothing learned in it.
    #[must_use]
    pub fn as_labelled(&self) -> Self {
        let cure = match &self.cure {
            Cure::Thermal(thermal) => Cure::Thermal(Box::new(thermal.as_labelled())),
            light @ Cure::Light { .. } => light.clone(),
        };
        Self { cure, ..self.clone() }
    }
}

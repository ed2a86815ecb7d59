//! What goes into the cups of one layer, figure by figure.

use crate::pour::{CupParts, LayerPlan};

/// The figures of a layer's cups; what its material does not take is `None`.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Cup {
    pub dose_percent: Option<f64>,
    pub catalyst_g: Option<f64>,
    pub catalyst_ml: Option<f64>,
    /// Only with a calibrated bottle.
    pub drops: Option<u32>,
    pub a_g: Option<f64>,
    pub b_g: Option<f64>,
    pub a_ml: Option<f64>,
    pub b_ml: Option<f64>,
}

impl Cup {
    pub fn of(layer: &LayerPlan) -> Self {
        match &layer.parts {
            CupParts::Catalysed { catalyst_g, catalyst_ml, drops, chosen } => Self {
                dose_percent: Some(chosen.dose.get()),
                catalyst_g: Some(*catalyst_g),
                catalyst_ml: Some(*catalyst_ml),
                drops: *drops,
                ..Self::default()
            },
            CupParts::TwoPart { a_g, b_g, a_ml, b_ml } => {
                let [a_g, b_g, a_ml, b_ml] = [a_g, b_g, a_ml, b_ml].map(|figure| Some(*figure));
                Self { a_g, b_g, a_ml, b_ml, ..Self::default() }
            }
            CupParts::OnePart => Self::default(),
        }
    }
}

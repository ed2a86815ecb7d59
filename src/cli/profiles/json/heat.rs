//! What is known of the heat of cure, as JSON.

use super::LawJson;
use crate::material::{Figure, HeatFigures};
use crate::units::{Celsius, Conversion, DosePercent, Grams, Hours, JPerGK, RisePerC, WPerMK};
use serde::Serialize;

/// Where nothing is known of where the reaction stops, both of its keys are `null`.
#[derive(Serialize)]
pub(super) struct HeatJson {
    cup_mass_g: Figure<Grams>,
    cup_c: Figure<Celsius>,
    cup_dose_percent: Option<Figure<DosePercent>>,
    gel_h: Figure<Hours>,
    peak_after_h: Figure<Hours>,
    peak_c: Figure<Celsius>,
    gel_conversion: Figure<Conversion>,
    specific_heat_j_per_gk: Figure<JPerGK>,
    conductivity_w_per_mk: Figure<WPerMK>,
    #[serde(flatten)]
    law: LawJson,
    peak_limit_c: Figure<Celsius>,
    stops_at: Option<Figure<Conversion>>,
    stops_rise_per_c: Option<Figure<RisePerC>>,
}

impl HeatJson {
    pub fn new(heat: &HeatFigures) -> Self {
        Self {
            cup_mass_g: heat.cup_mass,
            cup_c: heat.cup_start,
            cup_dose_percent: heat.cup_dose,
            gel_h: heat.gel,
            peak_after_h: heat.peak_after,
            peak_c: heat.peak,
            gel_conversion: heat.gel_conversion,
            specific_heat_j_per_gk: heat.specific_heat,
            conductivity_w_per_mk: heat.conductivity,
            law: LawJson::new(heat.law),
            peak_limit_c: heat.peak_limit,
            stops_at: heat.stops.map(|stops| stops.at_reference),
            stops_rise_per_c: heat.stops.map(|stops| stops.rise),
        }
    }
}

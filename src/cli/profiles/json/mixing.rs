//! How a material is made ready, as JSON.

use crate::material::{DepthDose, DoseRule, Equivalents, Figure, Mixing, Ratio};
use crate::units::{DosePercent, GramsPerEq, GramsPerMl, Hours};
use serde::Serialize;

#[derive(Serialize)]
#[serde(tag = "rule", rename_all = "kebab-case")]
pub(super) enum MixingJson<'a> {
    Catalyst {
        dose_min_percent: Figure<DosePercent>,
        dose_usual_percent: Figure<DosePercent>,
        dose_max_percent: Figure<DosePercent>,
        catalyst_density_g_per_ml: Figure<GramsPerMl>,
        dose_rule: Option<DoseRuleJson<'a>>,
    },
    TwoPart {
        by_weight_parts: Figure<Ratio>,
        by_volume_parts: Figure<Ratio>,
        density_a_g_per_ml: Figure<GramsPerMl>,
        density_b_g_per_ml: Figure<GramsPerMl>,
        epoxide_equivalent_g: Option<Figure<GramsPerEq>>,
        hydrogen_equivalent_g: Option<Figure<GramsPerEq>>,
    },
    OnePart,
}

/// Without a rule for warm layers both of its keys are `null`.
#[derive(Serialize)]
pub(super) struct DoseRuleJson<'a> {
    by_depth: &'a [DepthDose],
    on_warm_layer: Option<&'a [Figure<f64>]>,
    warm_for_h: Option<Figure<Hours>>,
}

impl<'a> MixingJson<'a> {
    pub fn new(mixing: &'a Mixing) -> Self {
        match mixing {
            Mixing::Catalysed { min, usual, max, catalyst_density, dose_rule } => MixingJson::Catalyst {
                dose_min_percent: *min,
                dose_usual_percent: *usual,
                dose_max_percent: *max,
                catalyst_density_g_per_ml: *catalyst_density,
                dose_rule: dose_rule.as_deref().map(DoseRuleJson::new),
            },
            Mixing::TwoPart { by_weight, by_volume, density_a, density_b, equivalents } => MixingJson::TwoPart {
                by_weight_parts: *by_weight,
                by_volume_parts: *by_volume,
                density_a_g_per_ml: *density_a,
                density_b_g_per_ml: *density_b,
                epoxide_equivalent_g: equivalents.map(|Equivalents { epoxide, .. }| epoxide),
                hydrogen_equivalent_g: equivalents.map(|Equivalents { hydrogen, .. }| hydrogen),
            },
            Mixing::OnePart => MixingJson::OnePart,
        }
    }
}

impl<'a> DoseRuleJson<'a> {
    fn new(rule: &'a DoseRule) -> Self {
        let stack = rule.warm_stack.as_ref();
        Self {
            by_depth: &rule.by_depth,
            on_warm_layer: stack.map(|stack| stack.factors.as_slice()),
            warm_for_h: stack.map(|stack| stack.warm_for),
        }
    }
}

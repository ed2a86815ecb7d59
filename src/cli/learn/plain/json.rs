//! What `learn --from --json` prints. The keys are a promise: they may grow, but not change.

use crate::learn::{Estimate, PlainAsk, PlainFit, RuleForm};
use crate::material::Stage;
use crate::units::{Celsius, DosePercent};
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct PlainJson {
    observations: u32,
    /// ln of the hours at the reference; `null` where there are several stages, which `stages` lists.
    b0: Option<f64>,
    stages: Vec<StageJson>,
    /// `null` where all looks were at one temperature.
    temperature: Option<TemperatureJson>,
    /// n in (reference dose / dose)^n; `null` where there is one dose or none.
    dose_exponent: Option<f64>,
    /// The same as a slope on ln(dose): −n.
    ln_dose_slope: Option<f64>,
    /// Standard deviation of ln(time).
    sigma: f64,
    /// The looks do not tell the spread: the least that is assumed stands in.
    sigma_at_floor: bool,
    log_likelihood: f64,
    standard_errors: ErrorsJson,
    reference_c: Celsius,
    reference_dose_percent: Option<DosePercent>,
    prior: bool,
    newton_steps: usize,
}

#[derive(Serialize)]
struct StageJson {
    stage: Option<Stage>,
    b0: f64,
    b0_standard_error: Option<f64>,
    /// e^b0.
    hours: f64,
}

#[derive(Serialize)]
#[serde(untagged)]
enum TemperatureJson {
    Activation { activation_kj: f64 },
    Q10 { q10: f64 },
}

#[derive(Serialize)]
struct ErrorsJson {
    b0: Option<f64>,
    activation_kj: Option<f64>,
    q10: Option<f64>,
    dose_exponent: Option<f64>,
    sigma: Option<f64>,
}

impl PlainJson {
    pub fn new(fit: &PlainFit, ask: &PlainAsk) -> Self {
        let only = match fit.b0.as_slice() {
            [(_, only)] => Some(*only),
            _ => None,
        };
        let error = |estimate: Option<Estimate>| estimate.and_then(|estimate| estimate.standard_error);
        let of_form = |form: RuleForm| error(fit.temperature.filter(|_| ask.form == form));
        let exponent = fit.dose_exponent.map(|exponent| exponent.value);
        Self {
            observations: fit.looks,
            b0: only.map(|only| only.value),
            stages: fit.b0.iter().map(|(stage, b0)| StageJson::new(*stage, *b0)).collect(),
            temperature: fit.temperature.map(|temperature| match ask.form {
                RuleForm::Activation => TemperatureJson::Activation { activation_kj: temperature.value },
                RuleForm::Q10 => TemperatureJson::Q10 { q10: temperature.value },
            }),
            dose_exponent: exponent,
            ln_dose_slope: exponent.map(|exponent| -exponent),
            sigma: fit.sigma.value,
            sigma_at_floor: fit.sigma.standard_error.is_none(),
            log_likelihood: fit.ln_likelihood,
            standard_errors: ErrorsJson {
                b0: error(only),
                activation_kj: of_form(RuleForm::Activation),
                q10: of_form(RuleForm::Q10),
                dose_exponent: error(fit.dose_exponent),
                sigma: error(Some(fit.sigma)),
            },
            reference_c: fit.reference,
            reference_dose_percent: fit.reference_dose,
            prior: ask.prior,
            newton_steps: fit.steps,
        }
    }
}

impl StageJson {
    fn new(stage: Option<Stage>, b0: Estimate) -> Self {
        Self { stage, b0: b0.value, b0_standard_error: b0.standard_error, hours: b0.value.exp() }
    }
}

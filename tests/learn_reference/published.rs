//! Meeker & Escobar, Statistical Methods for Reliability Data (1998), Example 19.11: interval-censored failures of a device
//! at four temperatures, x = 11605/(T in kelvin), so that b1 is an activation energy in electronvolts.
//!
//! Estimates and log-likelihood: b0 −10.171840, b1 0.826497, σ 0.516508, −88.357802 (lifelines agrees to six digits).
//! Standard errors 1.526974838, 0.073188114, 0.057473767: of the observed information, worked out with scipy 1.17 (a
//! calculation of our own, `benches/learn_beside_scipy.py`, not the book's figures).

use crate::support::{look, near, rows};
use nightpour::learn::{PlainAsk, RuleForm, fit_plain};
use nightpour::units::{Celsius, DosePercent};

/// k in eV/K by the book: 1/11605. R in kJ/mol·K times 11605 is what one electronvolt is per mole.
const KJ_PER_EV: f64 = 8.314_462_618_153_24e-3 * 11605.0;
const REFERENCE_C: f64 = 250.0;

#[test]
fn device_ic_of_meeker_and_escobar() {
    let number = |text: &str| text.parse::<f64>().unwrap();
    let looks: Vec<_> = rows("interval_censored_device_ic.csv")
        .iter()
        .map(|row| look(number(&row[3]) - 273.15, None, number(&row[1]), number(&row[2]), row[0].parse().unwrap()))
        .collect();
    let ask = PlainAsk {
        form: RuleForm::Activation,
        reference: Celsius::new(REFERENCE_C).unwrap(),
        reference_dose: DosePercent::new(1.0).unwrap(),
        prior: false,
    };
    let fit = fit_plain(&looks, &ask).unwrap();
    let energy = fit.temperature.unwrap();
    near("b1", energy.value / KJ_PER_EV, 0.826_497, 1e-4);
    near("b1's standard error", energy.standard_error.unwrap() / KJ_PER_EV, 0.073_188_114, 1e-3);
    // The book's b0 stands where 1/T = 0.
    let b0 = fit.b0[0].1.value - energy.value / KJ_PER_EV * 11605.0 / (REFERENCE_C + 273.15);
    near("b0", b0, -10.171_840, 1e-4);
    near("sigma", fit.sigma.value, 0.516_508, 1e-4);
    near("sigma's standard error", fit.sigma.standard_error.unwrap(), 0.057_473_767, 1e-3);
    assert!((fit.ln_likelihood + 88.357_802).abs() < 1e-5, "{}", fit.ln_likelihood);
    assert_eq!(fit.looks, 250);
}

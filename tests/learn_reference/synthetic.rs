//! Set times made up with known figures, seeded: left-, right-, interval-censored and exact. Estimates and log-likelihoods
//! were worked out independently with scipy 1.17 and lifelines 0.30 at a tolerance of 1e-9, standard errors from the
//! observed information with scipy (`benches/learn_beside_scipy.py`): calculations, not publications.

use crate::support::{look, near, rows};
use nightpour::learn::{PlainAsk, PlainFit, PlainLook, RuleForm, fit_plain};
use nightpour::units::{Celsius, DosePercent};

fn looks(dosed: bool) -> Vec<PlainLook> {
    let number = |text: &str| text.parse::<f64>().unwrap();
    let of =
        |row: &Vec<String>| look(number(&row[0]), dosed.then(|| number(&row[1])), number(&row[2]), number(&row[3]), 1);
    rows("synthetic_settimes.csv").iter().map(of).collect()
}

fn fitted(dosed: bool, form: RuleForm) -> PlainFit {
    let ask = PlainAsk {
        form,
        reference: Celsius::new(25.0).unwrap(),
        reference_dose: DosePercent::new(1.0).unwrap(),
        prior: false,
    };
    fit_plain(&looks(dosed), &ask).unwrap()
}

#[test]
fn with_the_dose() {
    let fit = fitted(true, RuleForm::Activation);
    let (b0, energy, exponent) = (fit.b0[0].1, fit.temperature.unwrap(), fit.dose_exponent.unwrap());
    near("b0", b0.value, 1.042_926_838, 1e-6);
    near("activation energy", energy.value, 59.689_494, 1e-6);
    // Ours is n in (dose_ref/dose)^n, the reference's the slope on ln(dose): the sign differs.
    near("dose exponent", -exponent.value, -0.977_342_571, 1e-6);
    near("sigma", fit.sigma.value, 0.172_126_534, 1e-6);
    assert!((fit.ln_likelihood + 28.931_476_769).abs() < 1e-7, "{}", fit.ln_likelihood);
    near("b0's standard error", b0.standard_error.unwrap(), 0.045_606_461, 1e-4);
    near("the energy's", energy.standard_error.unwrap(), 5.448_738_896, 1e-4);
    near("the exponent's", exponent.standard_error.unwrap(), 0.111_204_194, 1e-4);
    near("sigma's", fit.sigma.standard_error.unwrap(), 0.028_895_699, 1e-4);
}

#[test]
fn without_the_dose() {
    let fit = fitted(false, RuleForm::Activation);
    near("b0", fit.b0[0].1.value, 0.882_106_658, 1e-6);
    near("activation energy", fit.temperature.unwrap().value, 56.611_542_56, 1e-6);
    near("sigma", fit.sigma.value, 0.396_454_581, 1e-6);
    assert!((fit.ln_likelihood + 46.747_286_58).abs() < 1e-7, "{}", fit.ln_likelihood);
    near("b0's standard error", fit.b0[0].1.standard_error.unwrap(), 0.092_257_051, 1e-4);
    near("the energy's", fit.temperature.unwrap().standard_error.unwrap(), 11.801_738_678, 1e-4);
    near("sigma's", fit.sigma.standard_error.unwrap(), 0.062_500_751, 1e-4);
    assert_eq!(fit.dose_exponent, None);
}

#[test]
fn by_q10_it_is_nearly_the_same_line() {
    // Textbook: q10 over 20 to 30 °C is exp(E/R (1/293.15 − 1/303.15)); the two rules bend apart over 20 °C by some per cent.
    let energy = fitted(true, RuleForm::Activation).temperature.unwrap().value;
    let q10 = fitted(true, RuleForm::Q10).temperature.unwrap().value;
    let same = (energy / 8.314_462_618e-3 * (1.0 / 293.15 - 1.0 / 303.15)).exp();
    near("q10", q10, same, 0.03);
}

//! What `learn --from` says.

use crate::cli::page::Page;
use crate::cli::words;
use crate::cure::spread_factor;
use crate::fit::padded;
use crate::learn::{Estimate, PlainAsk, PlainFit, RuleForm};
use crate::units::Hours;

const NAME: usize = 20;

pub(super) fn text(fit: &PlainFit, ask: &PlainAsk) -> String {
    let mut page = Page::default();
    let dose = fit.reference_dose.map_or(String::new(), |dose| format!(" and {dose}"));
    let looks = if fit.looks == 1 { "1 observation".to_owned() } else { format!("{} observations", fit.looks) };
    page.words("", &format!("{looks}; times are for {}{dose}; ± is one standard error.", fit.reference));
    for (stage, b0) in &fit.b0 {
        let name = stage.map_or("time", |stage| stage.words());
        row(&mut page, name, &time_words(*b0));
    }
    match (fit.temperature, ask.form) {
        (Some(energy), RuleForm::Activation) => row(&mut page, "activation energy", &figure(energy, 1, " kJ/mol")),
        (Some(q10), RuleForm::Q10) => row(&mut page, "q10", &figure(q10, 2, "")),
        (None, _) => row(&mut page, "temperature", "cannot tell: all looks were at one temperature"),
    }
    match fit.dose_exponent {
        Some(exponent) => row(&mut page, "dose exponent", &figure(exponent, 2, "")),
        None => row(&mut page, "dose exponent", "cannot tell: there is one dose, or none"),
    }
    row(&mut page, "spread", &spread_words(fit.sigma));
    row(&mut page, "log-likelihood", &format!("{:.4}", fit.ln_likelihood));
    page.line("");
    page.words(
        "",
        if ask.prior {
            "Common practice helps where the looks are few; --no-prior goes by them alone."
        } else {
            "By the looks alone."
        },
    );
    page.finished()
}

fn row(page: &mut Page, name: &str, words: &str) {
    page.words(&format!("  {}  ", padded(name, NAME)), words);
}

fn figure(estimate: Estimate, decimals: usize, unit: &str) -> String {
    let error = estimate.standard_error.map_or(String::new(), |error| format!(" ± {error:.decimals$}"));
    format!("{:.decimals$}{error}{unit}", estimate.value)
}

/// The time, and how far it may be off as a factor.
fn time_words(b0: Estimate) -> String {
    let hours = Hours::new(b0.value.exp()).map_or_else(|_| "beyond all use".to_owned(), words::duration);
    let off = b0.standard_error.map_or(String::new(), |error| format!(" (×/÷ {:.2})", error.exp()));
    format!("{hours}{off}, b0 {:.4}", b0.value)
}

fn spread_words(sigma: Estimate) -> String {
    let late = spread_factor(sigma.value).map_or(String::new(), |late| format!(", late is ×{:.2}", late.get()));
    match sigma.standard_error {
        Some(_) => format!("sigma {}{late}", figure(sigma, 4, "")),
        None => format!(
            "cannot tell: the looks are too far apart, or too alike, to show it; the least that is assumed is {:.3}{late}",
            sigma.value
        ),
    }
}

//! Figures in words: what is printed is what can be weighed, measured or marked.

use crate::units::Grams;

/// A mass to the last digit of the scale it is weighed on, `least` decimals at least.
pub(super) fn weighed(grams: f64, digit: Grams, least: usize) -> String {
    let decimals = (least..4).find(|places| digit.get() >= 0.999 * 0.1_f64.powi(i32::try_from(*places).unwrap_or(0)));
    format!("{grams:.*} g", decimals.unwrap_or(4))
}

/// A depth or a level, to a tenth of a millimetre.
pub(super) fn mm(mm: f64) -> String {
    format!("{mm:.1} mm")
}

/// A volume: tenths from 10 mL on, hundredths below.
pub(super) fn ml(ml: f64) -> String {
    if ml < 10.0 { format!("{ml:.2} mL") } else { format!("{ml:.1} mL") }
}

/// To a hundredth, without idle zeros.
pub(super) fn short(value: f64) -> String {
    ((value * 100.0).round() / 100.0).to_string()
}

/// A share, to a hundredth of a per cent.
pub(super) fn percent(percent: f64) -> String {
    format!("{} %", short(percent))
}

/// Hours, to the minute: "1 h 20 min", "40 min", "2 h".
pub(super) fn hours(hours: f64) -> String {
    let minutes = (hours * 60.0).round().max(0.0);
    match ((minutes / 60.0).floor(), minutes % 60.0) {
        (0.0, minutes) => format!("{minutes} min"),
        (hours, 0.0) => format!("{hours} h"),
        (hours, minutes) => format!("{hours} h {minutes} min"),
    }
}

/// At most this many names are read before somebody stops reading.
const NAMES: usize = 6;

/// Names with commas between, the further ones counted.
pub(super) fn listed(names: &[String]) -> String {
    let shown = names[..names.len().min(NAMES)].join(", ");
    match names.len().saturating_sub(NAMES) {
        0 => shown,
        more => format!("{shown} and {more} more"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_weight_has_as_many_digits_as_its_scale() {
        let on = |grams: f64, digit: f64| weighed(grams, Grams::new(digit).unwrap(), 1);
        assert_eq!(on(512.36, 1.0), "512.4 g");
        assert_eq!(on(512.36, 0.1), "512.4 g");
        assert_eq!(on(0.2637, 0.01), "0.26 g");
        assert_eq!(on(0.2637, 0.05), "0.26 g");
        assert_eq!(on(0.2637, 0.001), "0.264 g");
    }

    #[test]
    fn figures_have_no_idle_zeros_and_lists_end() {
        assert_eq!((percent(2.0), percent(1.329)), ("2 %".to_owned(), "1.33 %".to_owned()));
        assert_eq!([0.66, 0.999, 2.0, 1.3334, 0.0].map(hours), ["40 min", "1 h", "2 h", "1 h 20 min", "0 min"]);
        assert_eq!((ml(2.034), ml(38.66)), ("2.03 mL".to_owned(), "38.7 mL".to_owned()));
        let names: Vec<String> = (1..=8).map(|n| format!("shell {n}")).collect();
        assert_eq!(listed(&names[..2]), "shell 1, shell 2");
        assert!(listed(&names).ends_with("shell 6 and 2 more"));
    }
}

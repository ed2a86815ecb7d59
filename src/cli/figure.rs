//! Figures given as arguments.

use crate::units::UnitError;

/// Reads a quantity of `text`; a decimal comma will do. Text that is no number becomes NaN, which every quantity refuses
/// in its own words.
pub(super) fn figure<Quantity: TryFrom<f64, Error = UnitError>>(text: &str) -> Result<Quantity, String> {
    let number = text.trim().replace(',', ".").parse().unwrap_or(f64::NAN);
    Quantity::try_from(number).map_err(|error| format!("write {}", error.expected()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Celsius, Grams};

    #[test]
    fn a_decimal_comma_is_as_good_as_a_point() {
        assert_eq!(figure::<Grams>("80,5"), figure::<Grams>("80.5"));
        assert_eq!(figure::<Celsius>(" -4.5 "), Ok(Celsius::new(-4.5).unwrap()));
    }

    #[test]
    fn what_is_no_figure_of_its_kind_is_refused_in_words() {
        for text in ["eighty", "", "-3", "0", "inf", "1,234.5"] {
            assert_eq!(figure::<Grams>(text), Err("write a mass in grams above 0".to_owned()), "{text}");
        }
    }
}

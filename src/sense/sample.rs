//! What a thermometer said, read from its text.

mod one_wire;

use crate::settings::Form;
use crate::text::PlainText;
use crate::units::{Celsius, Percent};
use serde_json::Value;

/// What a 1-wire thermometer shows after it was switched on and before it has measured, in thousandths of a degree.
const POWER_ON_MILLI: i64 = 85_000;

/// One reading as it was told.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sample {
    pub celsius: Celsius,
    pub humidity: Option<Percent>,
}

/// Why a text is no reading.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum NoReading {
    #[error("the text is empty")]
    Empty,
    #[error("'{0}' is no temperature")]
    NotANumber(PlainText),
    #[error("'{0}' °C is no temperature of this world")]
    Impossible(PlainText),
    #[error("85.000 °C is what the thermometer shows before it has measured")]
    PowerOn,
    #[error("the thermometer's check failed (CRC)")]
    BadCheck,
    #[error("the thermometer answers with nothing but noughts: look at its wires")]
    AllZero,
    #[error("that is not what a 1-wire thermometer's file looks like")]
    NotOneWire,
    #[error("that is no JSON ({0})")]
    NotJson(PlainText),
    #[error("nothing is at '{0}' in the JSON")]
    NotThere(PlainText),
}

/// Reads `text` as `form` has it.
pub fn read(text: &str, form: &Form) -> Result<Sample, NoReading> {
    match form {
        Form::Plain => plain(text),
        Form::Milli => milli(text),
        Form::OneWire => Ok(Sample { celsius: one_wire::read(text)?, humidity: None }),
        Form::Json { temperature, humidity } => json(text, temperature, humidity.as_deref()),
    }
}

fn celsius(figure: f64, written: &str) -> Result<Celsius, NoReading> {
    Celsius::new(figure).map_err(|_| NoReading::Impossible(PlainText::new(written)))
}

/// A figure with or without its unit; a humidity in percent may follow.
fn plain(text: &str) -> Result<Sample, NoReading> {
    let mut words =
        text.split([' ', '\t', '\n', '\r', ';']).map(|word| word.trim_matches(',')).filter(|word| !word.is_empty());
    let first = words.next().ok_or(NoReading::Empty)?;
    let figure = first.trim_end_matches(['C', 'c', '°']);
    // A decimal comma is a decimal point; more than one comma is no figure.
    let number = figure.replacen(',', ".", 1).parse().map_err(|_| NoReading::NotANumber(PlainText::new(first)))?;
    let mut rest = words.filter(|word| !matches!(*word, "C" | "c" | "°C" | "°"));
    let humidity = rest.next().and_then(|word| percent(word.trim_end_matches('%').parse().ok()?));
    Ok(Sample { celsius: celsius(number, first)?, humidity })
}

fn percent(figure: f64) -> Option<Percent> {
    Percent::new(figure).ok()
}

fn milli(text: &str) -> Result<Sample, NoReading> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NoReading::Empty);
    }
    let milli: i64 = text.parse().map_err(|_| NoReading::NotANumber(PlainText::new(text)))?;
    Ok(Sample { celsius: of_milli(milli)?, humidity: None })
}

fn of_milli(milli: i64) -> Result<Celsius, NoReading> {
    if milli == POWER_ON_MILLI {
        return Err(NoReading::PowerOn);
    }
    celsius(milli as f64 / 1000.0, &milli.to_string())
}

fn json(text: &str, temperature: &str, humidity: Option<&str>) -> Result<Sample, NoReading> {
    let value: Value =
        serde_json::from_str(text).map_err(|why| NoReading::NotJson(PlainText::new(&why.to_string())))?;
    let found = value.pointer(temperature).ok_or_else(|| NoReading::NotThere(PlainText::new(temperature)))?;
    let number = figure(found).ok_or_else(|| NoReading::NotANumber(PlainText::new(&found.to_string())))?;
    // A humidity that is not there is no fault: many messages leave out what has not changed.
    let humidity = humidity.and_then(|pointer| percent(figure(value.pointer(pointer)?)?));
    Ok(Sample { celsius: celsius(number, &found.to_string())?, humidity })
}

/// A number, or one in quotes, as some devices write it.
fn figure(value: &Value) -> Option<f64> {
    value.as_f64().or_else(|| value.as_str()?.trim().parse().ok())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::alarm::testing::HOSTILE;
    use proptest::prelude::*;

    fn c(text: &str, form: &Form) -> f64 {
        read(text, form).unwrap().celsius.get()
    }

    fn json_form() -> Form {
        Form::Json { temperature: "/ds/0/temperature".to_owned(), humidity: Some("/humidity".to_owned()) }
    }

    #[test]
    fn figures_are_read_as_they_are_written() {
        assert!((c("18.4\n", &Form::Plain) - 18.4).abs() < 1e-12);
        assert!((c("-3.25°C", &Form::Plain) + 3.25).abs() < 1e-12);
        assert!((c("19,4", &Form::Plain) - 19.4).abs() < 1e-12);
        assert!(read("1,234,5", &Form::Plain).is_err());
        let both = read("18.4 °C, 61 %", &Form::Plain).unwrap();
        assert!((both.celsius.get() - 18.4).abs() < 1e-12 && (both.humidity.unwrap().get() - 61.0).abs() < 1e-12);
        assert!((c("23062\n", &Form::Milli) - 23.062).abs() < 1e-12);
        let told = read(r#"{"ds":[{"temperature":"27.34"}],"humidity":44.72}"#, &json_form()).unwrap();
        assert!((told.celsius.get() - 27.34).abs() < 1e-12 && (told.humidity.unwrap().get() - 44.72).abs() < 1e-12);
    }

    #[test]
    fn what_is_no_reading_says_why() {
        let words = |text: &str, form: &Form| read(text, form).unwrap_err().to_string();
        assert_eq!(words("", &Form::Plain), "the text is empty");
        assert_eq!(words("no sensor", &Form::Plain), "'no' is no temperature");
        assert_eq!(words("85000", &Form::Milli), "85.000 °C is what the thermometer shows before it has measured");
        assert_eq!(words("nan", &Form::Plain), "'nan' °C is no temperature of this world");
        assert_eq!(words("-300", &Form::Plain), "'-300' °C is no temperature of this world");
        assert_eq!(words(r#"{"a":1}"#, &json_form()), "nothing is at '/ds/0/temperature' in the JSON");
        assert!(words("{", &json_form()).starts_with("that is no JSON"));
        assert_eq!(words(r#"{"ds":[{"temperature":null}]}"#, &json_form()), "'null' is no temperature");
    }

    #[test]
    fn hostile_texts_are_no_readings_and_their_words_are_harmless() {
        for text in HOSTILE {
            for form in [Form::Plain, Form::Milli, Form::OneWire, json_form()] {
                if let Err(why) = read(text, &form) {
                    assert!(!why.to_string().chars().any(crate::text::is_hostile), "{why}");
                }
            }
        }
    }

    proptest! {
        #[test]
        fn any_text_is_a_reading_or_none(text in any::<String>()) {
            for form in [Form::Plain, Form::Milli, Form::OneWire, json_form()] {
                if let Err(why) = read(&text, &form) {
                    prop_assert!(!why.to_string().chars().any(crate::text::is_hostile));
                }
            }
        }
    }
}

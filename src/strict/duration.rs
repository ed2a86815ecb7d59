//! Durations as they are typed: "45m", "6h 30m", "1d".

use super::field::{Field, Mistake};
use super::problem::Reported;
use std::time::Duration;
use toml::Spanned;
use toml::de::DeValue;

/// Nothing at a bench takes longer; a longer one is a slip.
const LONGEST: Duration = Duration::from_hours(10 * 366 * 24);

impl Field<'_> {
    /// A duration with its units, above zero and up to ten years.
    pub fn duration(self) -> Result<Spanned<Duration>, Reported> {
        let name = self.key().name;
        if matches!(self.toml(), DeValue::Integer(_) | DeValue::Float(_)) {
            let mistake = bare(name, &self.written(), &self.key().to_string());
            return Err(self.problem(&mistake.what, &mistake.remedy));
        }
        let example = self.key().to_string();
        self.parsed(|text| parse(text).map_err(|why| why.mistake(name, text, &example)))
    }
}

/// `duration` as it would be typed: "47m 12s", "9d 2h". Reads back the same, to the microsecond.
pub fn typed_duration(duration: Duration) -> String {
    let (seconds, micros) = (duration.as_secs(), duration.subsec_micros());
    let parts = [
        (seconds / 86_400, "d"),
        (seconds / 3600 % 24, "h"),
        (seconds / 60 % 60, "m"),
        (seconds % 60, "s"),
        (u64::from(micros / 1000), "ms"),
        (u64::from(micros % 1000), "us"),
    ];
    let words: Vec<String> =
        parts.iter().filter(|(count, _)| *count > 0).map(|(count, unit)| format!("{count}{unit}")).collect();
    if words.is_empty() { "0s".to_owned() } else { words.join(" ") }
}

/// Why a text is no duration.
#[derive(Debug, Clone, PartialEq, Eq)]
enum NoDuration {
    Bare,
    Negative,
    Zero,
    Calendar(String),
    UnknownUnit(String),
    TooLong,
    /// A decimal fraction that is no whole number of seconds.
    Fraction,
    Unreadable,
}

fn parse(text: &str) -> Result<Duration, NoDuration> {
    if text.starts_with(['-', '−']) {
        return Err(NoDuration::Negative);
    }
    // humantime takes 'M' for months: a capital slip would turn 45 minutes into almost four years.
    let calendar = ["M", "month", "months", "y", "yr", "yrs", "year", "years"];
    if let Some(unit) = text.split(|c: char| !c.is_alphabetic()).find(|word| calendar.contains(word)) {
        return Err(NoDuration::Calendar(unit.to_owned()));
    }
    // Ten digits are past ten years in any unit worth writing, and humantime panics near the end of u64.
    if text.split(|c: char| !c.is_ascii_digit()).any(|run| run.len() > 9) {
        return Err(NoDuration::TooLong);
    }
    match humantime::parse_duration(text) {
        Ok(Duration::ZERO) => Err(NoDuration::Zero),
        Ok(duration) if duration > LONGEST => Err(NoDuration::TooLong),
        Ok(duration) => Ok(duration),
        Err(humantime::DurationError::UnknownUnit { unit, .. }) if unit.is_empty() => Err(NoDuration::Bare),
        Err(humantime::DurationError::UnknownUnit { unit, .. }) => Err(NoDuration::UnknownUnit(unit)),
        Err(humantime::DurationError::NumberOverflow) if text.contains('.') => Err(NoDuration::Fraction),
        Err(humantime::DurationError::NumberOverflow) => Err(NoDuration::TooLong),
        Err(_) => Err(NoDuration::Unreadable),
    }
}

impl NoDuration {
    fn mistake(self, name: &str, text: &str, example: &str) -> Mistake {
        let (what, remedy) = match self {
            NoDuration::Bare => return bare(name, text, example),
            NoDuration::Negative => {
                (format!("'{name}' cannot be negative"), format!("write a duration above zero, as in {example}"))
            }
            NoDuration::Zero => {
                (format!("'{name}' must be above zero"), format!("write a duration above zero, as in {example}"))
            }
            NoDuration::Calendar(unit) if unit == "M" => (
                format!("'{name}' has a capital M, which is no unit here"),
                format!("write {name} = \"{}\", with a small m for minutes", text.replace('M', "m")),
            ),
            NoDuration::Calendar(unit) => (
                format!("'{name}' is in '{unit}', which have no fixed length"),
                format!("write days, as in {name} = \"30d\""),
            ),
            NoDuration::UnknownUnit(unit) => (
                format!("'{unit}' in '{name}' is no unit of time"),
                format!("write d, h, m and s behind the figures, as in {example}"),
            ),
            NoDuration::TooLong => {
                (format!("'{name}' is longer than ten years"), format!("write a shorter one, as in {example}"))
            }
            NoDuration::Fraction => (
                format!("'{name}' is no whole number of seconds"),
                format!("write hours and minutes apart, as in {example}"),
            ),
            NoDuration::Unreadable => (
                format!("'{name}' is no duration"),
                format!("write figures with d, h, m or s behind them and a point for decimals, as in {example}"),
            ),
        };
        Mistake { what, remedy }
    }
}

fn bare(name: &str, figure: &str, example: &str) -> Mistake {
    let plain = figure.parse::<f64>().is_ok_and(|figure| figure.is_finite() && figure >= 0.0);
    Mistake {
        what: format!("'{name}' has no unit of time"),
        remedy: if plain {
            format!("write {name} = \"{figure}m\" for minutes or \"{figure}h\" for hours")
        } else {
            format!("write {example}")
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn durations_read_as_they_are_said() {
        assert_eq!(parse("6h 30m"), Ok(Duration::from_mins(390)));
        assert_eq!(parse("1d"), Ok(Duration::from_hours(24)));
        assert_eq!(parse("2m 30s"), Ok(Duration::from_secs(150)));
    }

    #[test]
    fn a_typed_duration_reads_back() {
        let micros = [1, 999, 1000, 1_500_000, 2_832_000_000, 604_800_000_000, 786_200_000_000, 316_223_999_000_001];
        for duration in micros.map(Duration::from_micros) {
            assert_eq!(parse(&typed_duration(duration)), Ok(duration));
        }
        assert_eq!(typed_duration(Duration::from_secs(786_200)), "9d 2h 23m 20s");
    }

    #[test]
    fn what_is_no_duration_says_why() {
        assert_eq!(parse("45"), Err(NoDuration::Bare));
        assert_eq!(parse("45M"), Err(NoDuration::Calendar("M".to_owned())));
        assert_eq!(parse("0m"), Err(NoDuration::Zero));
        assert_eq!(parse("-5m"), Err(NoDuration::Negative));
        assert_eq!(parse("6 fortnights"), Err(NoDuration::UnknownUnit("fortnights".to_owned())));
        assert_eq!(parse("1000w"), Err(NoDuration::TooLong));
        assert_eq!(parse("1:30"), Err(NoDuration::Unreadable));
        assert_eq!(parse("99999999999999999999h"), Err(NoDuration::TooLong));
        assert_eq!(parse("18446744073709551615s 1000000000ns"), Err(NoDuration::TooLong), "humantime 2.4 panics");
        assert_eq!(parse("0.333h"), Err(NoDuration::Fraction));
    }
}

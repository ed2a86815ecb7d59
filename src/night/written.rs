//! Sleep and appointments as people write them: `23:00-06:30`, `fri, sat 00:30-09:00`, `tue 19:00-21:00 choir`,
//! `2026-12-01 14:00-16:30 dentist`.

use super::rest::{Appointment, Days, Hours, When};
use crate::text::PlainText;
use crate::when::weekday;
use jiff::civil::{Date, Time, Weekday};
use std::str::FromStr;

/// The text says no hours.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BadHours {
    #[error(
        "'{0}' are no hours; write them as in 23:00-06:30, with days before them where only some are meant: fri, sat 00:30-09:00"
    )]
    NoHours(PlainText),
    #[error("'{0}' is no day of the week; write mon, tue, wed, thu, fri, sat or sun")]
    NoDay(PlainText),
    #[error("'{0}' begin and end at the same time")]
    Nothing(PlainText),
    #[error("'{0}' says no day; write one, as in tue 19:00-21:00 choir or 2026-12-01 14:00-16:30")]
    WhichDay(PlainText),
}

/// One day, or several of the week; without any, all of them.
enum Day {
    Week(Days),
    Date(Date),
    Every,
}

impl FromStr for Hours {
    type Err = BadHours;

    fn from_str(text: &str) -> Result<Self, BadHours> {
        match read(text)? {
            (Day::Date(_), ..) => Err(BadHours::NoDay(PlainText::new(text))),
            (_, _, what) if !what.is_empty() => Err(BadHours::NoHours(PlainText::new(text))),
            (Day::Week(days), hours, _) => Ok(Hours { days, ..hours }),
            (Day::Every, hours, _) => Ok(hours),
        }
    }
}

impl FromStr for Appointment {
    type Err = BadHours;

    fn from_str(text: &str) -> Result<Self, BadHours> {
        let (day, hours, what) = read(text)?;
        let when = match day {
            Day::Week(days) => When::Weekly(Hours { days, ..hours }),
            Day::Date(date) => When::On(date, hours),
            Day::Every => return Err(BadHours::WhichDay(PlainText::new(text))),
        };
        Ok(Appointment { what: PlainText::new(what), when })
    }
}

/// The days, the hours, and what is written after them.
fn read(text: &str) -> Result<(Day, Hours, &str), BadHours> {
    let no_hours = || BadHours::NoHours(PlainText::new(text));
    let text_left = text.trim();
    // The hours begin with the first digit that follows the days; a date is a day of its own.
    let dated = text_left.split_once(char::is_whitespace).and_then(|(date, rest)| Some((date.parse().ok()?, rest)));
    let (day, rest) = if let Some((date, rest)) = dated {
        (Day::Date(date), rest)
    } else {
        let at = text_left.find(|c: char| c.is_ascii_digit()).ok_or_else(no_hours)?;
        (days(&text_left[..at])?, &text_left[at..])
    };
    let rest = rest.trim_start();
    let (hours, what) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let (from, until) = hours.split_once(['-', '–']).ok_or_else(no_hours)?;
    let time = |text: &str| text.trim().parse::<Time>().map_err(|_| no_hours());
    let (from, until) = (time(from)?, time(until)?);
    if from == until {
        return Err(BadHours::Nothing(PlainText::new(text)));
    }
    Ok((day, Hours { days: Days::ALL, from, until }, what.trim()))
}

fn days(text: &str) -> Result<Day, BadHours> {
    let words = text.split([',', ' ']).filter(|word| !word.trim().is_empty());
    let day = |word: &str| weekday(word).ok_or_else(|| BadHours::NoDay(PlainText::new(word)));
    let named: Vec<Weekday> = words.map(day).collect::<Result<_, _>>()?;
    Ok(if named.is_empty() { Day::Every } else { Day::Week(Days::of(named)) })
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::time;

    #[test]
    fn hours_are_read_with_and_without_days() {
        let all: Hours = "23:00-06:30".parse().unwrap();
        assert_eq!(all, Hours { days: Days::ALL, from: time(23, 0, 0, 0), until: time(6, 30, 0, 0) });
        let some: Hours = " Fri, saturday 00:30–09:00 ".parse().unwrap();
        assert_eq!(some.days, Days::of([Weekday::Friday, Weekday::Saturday]));
        assert_eq!((some.from, some.until), (time(0, 30, 0, 0), time(9, 0, 0, 0)));
    }

    #[test]
    fn appointments_have_a_day_and_may_say_what_they_are() {
        let weekly: Appointment = "tue 19:00-21:00 choir".parse().unwrap();
        assert_eq!(weekly.what.as_str(), "choir");
        assert!(matches!(weekly.when, When::Weekly(hours) if hours.days == Days::of([Weekday::Tuesday])));
        let once: Appointment = "2026-12-01 14:00-16:30".parse().unwrap();
        assert!(matches!(once.when, When::On(date, _) if date == jiff::civil::date(2026, 12, 1)));
    }

    #[test]
    fn what_cannot_be_meant_is_told() {
        let sleep = |text: &str| text.parse::<Hours>().unwrap_err().to_string();
        assert!(sleep("late").starts_with("'late' are no hours; write them as in 23:00-06:30"));
        assert!(sleep("25:00-06:30").starts_with("'25:00-06:30' are no hours"));
        assert!(sleep("funday 23:00-06:30").starts_with("'funday' is no day of the week"));
        assert!(sleep("23:00-23:00").ends_with("begin and end at the same time"));
        assert!(sleep("23:00-06:30 or so").starts_with("'23:00-06:30 or so' are no hours"));
        assert!("19:00-21:00".parse::<Appointment>().unwrap_err().to_string().contains("says no day"));
    }
}

//! One line of the table.

use super::fact::{Columns, Fact};
use super::problem::Trouble;
use crate::material::Stage;
use crate::sense::Dialect;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Hours, Millimetres, UnitError};

/// What a line tells: a stage seen at a constant temperature, in hours from first contact.
#[derive(Debug, Clone, PartialEq)]
pub struct LookRow {
    pub line: usize,
    /// `None` where the table has no stages.
    pub stage: Option<Stage>,
    pub celsius: Celsius,
    pub dose: Option<DosePercent>,
    pub depth: Option<Millimetres>,
    /// Not there yet.
    pub after: Option<Hours>,
    /// There; the same as `after` means that very moment.
    pub by: Option<Hours>,
    /// How many alike.
    pub count: u32,
    pub test: Option<PlainText>,
    /// Whoever wrote it was not sure.
    pub guessed: bool,
}

/// Reads the line, or says everything that is wrong with it.
pub(super) fn read(
    line: usize,
    values: &csv::StringRecord,
    columns: &Columns,
    dialect: Dialect,
) -> Result<LookRow, Vec<Trouble>> {
    let mut cells = Cells { values, columns, dialect, troubles: Vec::new() };
    let stage = cells.stage();
    let celsius = cells.quantity(Fact::Celsius, Celsius::new, "19.5");
    if celsius.is_none() && cells.text(Fact::Celsius).is_none() {
        cells.missing(Fact::Celsius, "a temperature in °C", "19.5");
    }
    let dose = cells.quantity(Fact::DosePercent, DosePercent::new, "1.2");
    let depth = cells.quantity(Fact::DepthMm, Millimetres::new, "10");
    let after = cells.time(Fact::AfterH, Fact::AfterMin);
    let by = cells.time(Fact::ByH, Fact::ByMin);
    let count = cells.count();
    let guessed = cells.guessed();
    let test = cells.text(Fact::Test).map(PlainText::new);
    let mut troubles = cells.troubles;
    if troubles.is_empty() {
        match (after, by) {
            (None, None) => troubles.push(Trouble::NoTime),
            (Some(after), Some(by)) if after > by => {
                troubles.push(Trouble::NotAnInterval { after_h: after.get(), by_h: by.get() });
            }
            _ => {}
        }
    }
    match celsius {
        Some(celsius) if troubles.is_empty() => {
            Ok(LookRow { line, stage, celsius, dose, depth, after, by, count, test, guessed })
        }
        _ => Err(troubles),
    }
}

struct Cells<'a> {
    values: &'a csv::StringRecord,
    columns: &'a Columns,
    dialect: Dialect,
    troubles: Vec<Trouble>,
}

impl<'a> Cells<'a> {
    fn text(&self, fact: Fact) -> Option<&'a str> {
        self.columns.value(fact, self.values)
    }

    fn missing(&mut self, fact: Fact, expected: &'static str, example: &'static str) {
        self.troubles.push(Trouble::Missing { column: self.columns.name(fact), expected, example });
    }

    fn not_that(&mut self, fact: Fact, given: &str, expected: &str, example: &'static str) {
        let (column, given) = (self.columns.name(fact), PlainText::new(given));
        self.troubles.push(Trouble::NotThat { column, given, expected: expected.to_owned(), example });
    }

    fn quantity<T>(
        &mut self,
        fact: Fact,
        new: impl Fn(f64) -> Result<T, UnitError>,
        example: &'static str,
    ) -> Option<T> {
        let text = self.text(fact)?;
        // A figure that is no number goes in as NaN, which every quantity refuses in its own words.
        let made = new(self.dialect.number(text).unwrap_or(f64::NAN));
        made.map_err(|error| self.not_that(fact, text, error.expected(), example)).ok()
    }

    fn time(&mut self, hours: Fact, minutes: Fact) -> Option<Hours> {
        if self.text(hours).is_some() && self.text(minutes).is_some() {
            let column = self.columns.name(minutes);
            self.troubles.push(Trouble::TimeTwice { column });
        }
        let in_hours = self.quantity(hours, Hours::new, "0.75");
        in_hours.or_else(|| self.quantity(minutes, |minutes| Hours::new(minutes / 60.0), "45"))
    }

    fn stage(&mut self) -> Option<Stage> {
        let Some(text) = self.text(Fact::Stage) else {
            if self.columns.has(Fact::Stage) {
                self.missing(Fact::Stage, "the stage", "gel");
            }
            return None;
        };
        text.parse().map_err(|_| self.not_that(Fact::Stage, text, &stages(), "gel")).ok()
    }

    fn count(&mut self) -> u32 {
        match self.text(Fact::Count) {
            None => 1,
            Some(text) => text.parse().ok().filter(|count| (1..=1_000_000).contains(count)).unwrap_or_else(|| {
                self.not_that(Fact::Count, text, "a whole number from 1 to 1000000", "3");
                1
            }),
        }
    }

    fn guessed(&mut self) -> bool {
        match self.text(Fact::Trust) {
            None | Some("sure") => false,
            Some("guess") => true,
            Some(other) => {
                self.not_that(Fact::Trust, other, "'sure' or 'guess'", "guess");
                false
            }
        }
    }
}

fn stages() -> String {
    format!("one of {}", Stage::ALL.map(Stage::key).join(", "))
}

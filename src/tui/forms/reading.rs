//! Enter a bench temperature.

use super::{
    Wrong,
    field::{Field, Fields},
    time_field,
};
use crate::bench::{Bench, Command};
use crate::text::PlainText;
use crate::units::{Celsius, Percent};
use jiff::Timestamp;

pub(super) const CELSIUS: usize = 0;
const HUMIDITY: usize = 1;
pub(super) const WHEN: usize = 2;

/// What typed readings name as their source.
const SOURCE: &str = "typed";

#[derive(Debug, Clone)]
pub(in crate::tui) struct ReadingForm {
    pub(super) fields: Fields,
}

impl ReadingForm {
    pub fn new() -> Self {
        Self {
            fields: Fields::new(vec![
                Field::text("bench", "", "°C, at the height of the work"),
                Field::text("humidity", "", "%, if you know it"),
                Field::text("when", "now", "now, 23:40, 20 min ago"),
            ]),
        }
    }

    pub(super) fn command(&self, bench: &Bench, now: Timestamp) -> Result<Command, Wrong> {
        let at = |index| move |error| (index, error);
        let celsius = self.fields.list[CELSIUS]
            .quantity(Celsius::SYMBOL, Celsius::new)
            .map_err(at(CELSIUS))?
            .ok_or_else(|| (CELSIUS, "type the temperature in °C".to_owned()))?;
        let humidity = self.fields.list[HUMIDITY].quantity(Percent::SYMBOL, Percent::new).map_err(at(HUMIDITY))?;
        let at = time_field(&self.fields, WHEN, bench, now)?;
        Ok(Command::Read { celsius, humidity, at, source: PlainText::new(SOURCE) })
    }
}

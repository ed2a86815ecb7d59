//! Newtypes for the quantities of the bench.
//!
//! Every figure that crosses a room's door carries its unit in its type, so that grams cannot be added to
//! millimetres and a mass ratio cannot be taken for a volume ratio. All constructors refuse NaN and infinities.

use serde::{Deserialize, Serialize};
use std::fmt;

/// Zero of the Celsius scale in kelvin (exact by definition, SI brochure 2019, 2.3.1).
pub(crate) const CELSIUS_ZERO_K: f64 = 273.15;

/// A figure outside what its quantity can be.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{value} is not {expected}")]
pub struct UnitError {
    value: f64,
    expected: &'static str,
}

impl UnitError {
    /// What the figure should have been, in words ("a mass in grams above 0").
    pub fn expected(&self) -> &'static str {
        self.expected
    }
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $allowed:expr, $expected:literal, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// The unit as it is printed after a figure.
            pub const SYMBOL: &'static str = $symbol;

            /// Wraps a figure after checking that it is finite and physically possible.
            pub fn new(value: f64) -> Result<Self, UnitError> {
                let allowed: fn(f64) -> bool = $allowed;
                if value.is_finite() && allowed(value) {
                    Ok(Self(value))
                } else {
                    Err(UnitError { value, expected: $expected })
                }
            }

            /// The bare figure in this type's unit.
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl TryFrom<f64> for $name {
            type Error = UnitError;
            fn try_from(value: f64) -> Result<Self, UnitError> {
                Self::new(value)
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }

        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                if let Some(precision) = f.precision() {
                    write!(f, "{:.*} {}", precision, self.0, Self::SYMBOL)
                } else {
                    write!(f, "{} {}", self.0, Self::SYMBOL)
                }
            }
        }
    };
}

quantity!(
    /// A temperature in degrees Celsius, within what a bench, a box or a curing resin can reach.
    Celsius, |c| (-60.0..=400.0).contains(&c), "a temperature in °C between -60 and 400", "°C");
quantity!(
    /// A mass in grams, above zero.
    Grams, |g| g > 0.0 && g <= 1e7, "a mass in grams above 0", "g");
quantity!(
    /// A length in millimetres, above zero.
    Millimetres, |mm| mm > 0.0 && mm <= 1e5, "a length in millimetres above 0", "mm");
quantity!(
    /// A level in a vessel: millimetres above the inside of its floor, 0 or more.
    Level, |mm| (0.0..=1e5).contains(&mm), "a level in millimetres above the floor, 0 or more", "mm");
quantity!(
    /// A volume in millilitres, above zero.
    Millilitres, |ml| ml > 0.0 && ml <= 1e9, "a volume in millilitres above 0", "mL");
quantity!(
    /// What stays behind in each cup and on its stick, in grams; 0 or more.
    CupLoss, |g| (0.0..=1000.0).contains(&g), "a loss per cup in grams, 0 to 1000", "g");
quantity!(
    /// A price per kilogram, in whatever money the piece names; 0 or more.
    PricePerKg, |p| (0.0..=1e6).contains(&p), "a price per kilogram, 0 or more", "per kg");
quantity!(
    /// A share in percent, 0 to 100.
    Percent, |p| (0.0..=100.0).contains(&p), "a percentage from 0 to 100", "%");
quantity!(
    /// A catalyst dose: percent of the resin by mass (w/w), above zero.
    DosePercent, |p| p > 0.0 && p <= 100.0, "a dose in percent by mass above 0 and at most 100", "%");
quantity!(
    /// A density in grams per millilitre.
    GramsPerMl, |d| d > 0.05 && d < 25.0, "a density in g/mL between 0.05 and 25", "g/mL");
quantity!(
    /// An equivalent weight: grams that hold one mole of a reacting group.
    GramsPerEq, |g| (5.0..=1e5).contains(&g), "an equivalent weight in g/eq from 5 to 100000", "g/eq");
quantity!(
    /// A duration or a cure age in hours, zero or more. Cure age is hours at the reference temperature.
    Hours, |h| (0.0..=1e7).contains(&h), "a duration of 0 hours or more", "h");
quantity!(
    /// An activation energy in kJ/mol.
    KjPerMol, |e| e > 0.0 && e <= 1000.0, "an activation energy in kJ/mol above 0", "kJ/mol");
quantity!(
    /// The factor by which a rate grows over 10 °C.
    Q10, |q| (1.0..=20.0).contains(&q), "a q10 from 1 to 20", "");
quantity!(
    /// Late over likely, and likely over early, of a stage time: 1 would be certainty.
    SpreadFactor, |s| s > 1.0 && s <= 20.0, "a spread factor above 1 (late time over likely time)", "×");

quantity!(
    /// A share reacted: 0 before the reaction, 1 where nothing is left to react.
    Conversion, |a| a > 0.0 && a < 1.0, "a conversion above 0 and below 1", "");
quantity!(
    /// A specific heat in joules per gram and kelvin.
    JPerGK, |c| (0.1..=5.0).contains(&c), "a specific heat in J/gK from 0.1 to 5", "J/gK");
quantity!(
    /// A thermal conductivity in watts per metre and kelvin.
    WPerMK, |k| (0.01..=10.0).contains(&k), "a conductivity in W/mK from 0.01 to 10", "W/mK");
quantity!(
    /// What one degree adds to a share that reacts, per °C.
    RisePerC, |r| r > 0.0 && r <= 0.1, "a rise in conversion per °C above 0 and at most 0.1", "per °C");

impl Celsius {
    /// A room of which nothing else is known (common practice).
    pub const ROOM: Celsius = Celsius(20.0);

    /// For which rates of reaction are usually given (25 °C, the usual reference of thermochemical tables).
    pub const OF_RATES: Celsius = Celsius(25.0);

    /// The same temperature in kelvin.
    pub fn kelvin(self) -> f64 {
        self.0 + CELSIUS_ZERO_K
    }
}

impl SpreadFactor {
    /// The widest there is.
    pub const WIDEST: SpreadFactor = SpreadFactor(20.0);
}

impl Millimetres {
    /// A layer of which nothing else is known (common practice).
    pub const ORDINARY_LAYER: Millimetres = Millimetres(10.0);
}

impl Level {
    /// The inside of the floor.
    pub const FLOOR: Level = Level(0.0);
}

impl Q10 {
    /// The trade's rule: twice as fast every 10 °C (common practice).
    pub const DOUBLING: Q10 = Q10(2.0);
}

impl KjPerMol {
    /// Twice as fast from 25 to 35 °C: 52.95 kJ/mol (textbook; R ln 2 / (1/298.15 − 1/308.15)).
    pub const DOUBLING: KjPerMol = KjPerMol(52.948_862);
}

impl Hours {
    /// No time at all.
    pub const ZERO: Hours = Hours(0.0);

    /// A day.
    pub const DAY: Hours = Hours(24.0);

    /// The length in seconds.
    pub fn seconds(self) -> f64 {
        self.0 * 3600.0
    }
}

impl From<std::time::Duration> for Hours {
    fn from(d: std::time::Duration) -> Self {
        Hours(d.as_secs_f64() / 3600.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn impossible_figures_are_refused() {
        assert!(Celsius::new(f64::NAN).is_err());
        assert!(Grams::new(0.0).is_err());
        assert!(Grams::new(-3.0).is_err());
        assert!(Hours::new(f64::INFINITY).is_err());
        assert!(SpreadFactor::new(1.0).is_err());
        assert_eq!(Percent::new(120.0).unwrap_err().expected(), "a percentage from 0 to 100");
    }

    #[test]
    fn kelvin_is_offset_by_the_si_definition() {
        assert!((Celsius::new(25.0).unwrap().kelvin() - 298.15).abs() < 1e-12);
    }

    #[test]
    fn figures_print_with_their_unit() {
        assert_eq!(format!("{:.1}", Celsius::new(19.44).unwrap()), "19.4 °C");
    }
}

//! Dew: how near the bench is to it.

use crate::units::{Celsius, Percent};

/// Coefficients of the Magnus form over water (O. Alduchov and R. Eskridge, "Improved Magnus form approximation of saturation
/// vapor pressure", Journal of Applied Meteorology 35 (1996) 601).
const B: f64 = 17.625;
const C: f64 = 243.04;

/// Nearer than this to the dew point a surface is damp before it looks so, °C (common practice for coatings).
pub const DEW_MARGIN_C: f64 = 3.0;

/// The dew point of air, °C; `None` for air without any moisture.
///
/// γ = ln(RH/100) + b T / (c + T); Td = c γ / (b - γ).
pub fn dew_point_c(air: Celsius, humidity: Percent) -> Option<f64> {
    let (t, rh) = (air.get(), humidity.get());
    let gamma = (rh / 100.0).ln() + B * t / (C + t);
    let dew_c = C * gamma / (B - gamma);
    (rh > 0.0 && dew_c.is_finite()).then_some(dew_c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_handbooks() {
        // Psychrometric tables (ASHRAE Handbook of Fundamentals, from memory, to 0.1 °C), and the trade's example of 20 °C at 60 %.
        for (air, humidity, dew) in
            [(25.0, 50.0, 13.9), (20.0, 50.0, 9.3), (20.0, 60.0, 12.0), (30.0, 80.0, 26.2), (10.0, 100.0, 10.0)]
        {
            let found = dew_point_c(Celsius::new(air).unwrap(), Percent::new(humidity).unwrap()).unwrap();
            assert!((found - dew).abs() < 0.11, "{air} °C {humidity} %: {found}");
        }
        assert_eq!(dew_point_c(Celsius::new(20.0).unwrap(), Percent::new(0.0).unwrap()), None);
    }
}

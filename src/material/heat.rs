//! What a profile says of the heat of cure.

use super::profile::Figure;
use crate::cure::RateLaw;
use crate::units::{Celsius, Conversion, DosePercent, Grams, Hours, JPerGK, RisePerC, WPerMK};

/// The `[heat]` table: a standard cup test as data sheets print it (gel time, time to peak, peak exotherm: ASTM D2471), and
/// how the resin holds and conducts heat.
#[derive(Debug, Clone, PartialEq)]
pub struct HeatFigures {
    pub cup_mass: Figure<Grams>,
    /// Of the parts at first contact, and of the room.
    pub cup_start: Figure<Celsius>,
    /// Catalysed materials only; `None` where the cup had the reference dose.
    pub cup_dose: Option<Figure<DosePercent>>,
    pub gel: Figure<Hours>,
    pub peak_after: Figure<Hours>,
    pub peak: Figure<Celsius>,
    /// Share reacted at the gel point.
    pub gel_conversion: Figure<Conversion>,
    pub specific_heat: Figure<JPerGK>,
    pub conductivity: Figure<WPerMK>,
    /// The reaction's own temperature rule, where it differs from the material's.
    pub law: Option<Figure<RateLaw>>,
    /// Hotter than this a casting yellows, cracks, or spoils what is in it.
    pub peak_limit: Figure<Celsius>,
    pub stops: Option<ConversionStop>,
}

/// Where the reaction stops for want of warmth: at `at_reference` at the profile's reference temperature, `rise` more for
/// each degree above it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ConversionStop {
    pub at_reference: Figure<Conversion>,
    pub rise: Figure<RisePerC>,
}

impl ConversionStop {
    /// The temperature in °C from which on `share` reacts, to a thousandth of a degree: no thermometer shows more.
    pub fn warmth_for(&self, share: Conversion, reference: Celsius) -> f64 {
        let above = (share.get() - self.at_reference.value.get()) / self.rise.value.get();
        ((reference.get() + above) * 1000.0).round() / 1000.0
    }

    /// The share that reacts at `at` and no more, linear about the material's `reference`. Dimensionless; far from the
    /// bench's temperatures it may leave 0 to 1.
    pub fn share_at(&self, at: Celsius, reference: Celsius) -> f64 {
        self.at_reference.value.get() + self.rise.value.get() * (at.get() - reference.get())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Provenance;

    #[test]
    fn the_share_and_its_warmth_are_inverse() {
        let stop = ConversionStop {
            at_reference: Figure { value: Conversion::new(0.85).unwrap(), from: Provenance::Label },
            rise: Figure { value: RisePerC::new(0.005).unwrap(), from: Provenance::Label },
        };
        let (reference, cold) = (Celsius::new(23.0).unwrap(), Celsius::new(13.0).unwrap());
        assert!((stop.share_at(reference, reference) - 0.85).abs() < 1e-12);
        assert!((stop.share_at(cold, reference) - 0.8).abs() < 1e-12);
        assert!((stop.warmth_for(Conversion::new(0.8).unwrap(), reference) - 13.0).abs() < 1e-12);
    }
}

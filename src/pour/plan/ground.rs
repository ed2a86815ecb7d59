//! What every part of a plan looks at.

use super::conditions::{Conditions, Progress};
use crate::material::Profile;
use crate::pour::{Piece, Space};
use crate::units::Celsius;

/// Levels nearer to each other than this are one, mm: nobody pours finer.
pub(super) const SAME_MM: f64 = 0.01;

/// A piece, its material, and where the pour stands.
#[derive(Clone, Copy)]
pub(super) struct Ground<'p> {
    pub piece: &'p Piece,
    pub profile: &'p Profile,
    pub progress: &'p Progress,
    /// The temperature planned for.
    pub bench: Celsius,
    pub space: Space<'p>,
}

impl<'p> Ground<'p> {
    pub fn new(piece: &'p Piece, profile: &'p Profile, conditions: &'p Conditions) -> Self {
        Self {
            piece,
            profile,
            progress: &conditions.progress,
            bench: conditions.bench.unwrap_or_else(|| usual_bench(piece, profile)),
            space: Space::new(&piece.vessel, &piece.items),
        }
    }

    pub fn fill_mm(&self) -> f64 {
        self.piece.fill.get()
    }

    /// The thinnest layer that sets as it should, mm: the piece's word, else the profile's.
    pub fn thinnest_mm(&self) -> Option<f64> {
        let profile = self.profile.layer_depth.min.map(|figure| figure.value);
        self.piece.layers.min.or(profile).map(crate::units::Millimetres::get)
    }

    /// The deepest layer that does not overheat, mm: the piece's word, else the profile's.
    pub fn deepest_mm(&self) -> Option<f64> {
        let profile = self.profile.layer_depth.max.map(|figure| figure.value);
        self.piece.layers.max.or(profile).map(crate::units::Millimetres::get)
    }

    /// The deepest layer that makes good what the one below missed, mm: a tenth over what the piece asks for, though not
    /// over what the profile bears, and a fiftieth in any case. Two thin layers in its place would cost a night.
    pub fn deepest_made_good_mm(&self) -> Option<f64> {
        let bears = self.profile.layer_depth.max.map_or(f64::INFINITY, |figure| figure.value.get());
        self.deepest_mm().map(|max| (max * 1.1).min(bears).max(max * 1.02))
    }

    /// Density of the liquid resin, g/mL; of a two-part system of the mixture.
    pub fn resin_density(&self) -> f64 {
        self.profile.density.value.get()
    }
}

/// The bench a piece is planned for where nothing was measured: its own figure, else the temperature its material's times hold for.
pub fn usual_bench(piece: &Piece, profile: &Profile) -> Celsius {
    let reference = profile.thermal().map(|cure| cure.reference_temperature.value);
    piece.bench.or(reference).unwrap_or(Celsius::ROOM)
}

/// The least whole number of parts none of which is over `most`; at least 1. What lies a millionth of a part over is
/// rounding, not resin.
pub(super) fn parts(whole: f64, most: f64) -> u32 {
    const ROUNDING: f64 = 1e-6;
    let parts = (whole / most - ROUNDING).ceil().clamp(1.0, f64::from(u32::MAX));
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and in range, see above")]
    return parts as u32;
}

#[cfg(test)]
mod tests {
    use super::parts;

    #[test]
    fn rounding_makes_no_further_part() {
        assert_eq!([29.9, 30.0, 30.000_000_001, 30.1].map(|whole| parts(whole, 10.0)), [3, 3, 3, 4]);
        assert_eq!((parts(0.1, 10.0), parts(0.3, 0.1)), (1, 3));
    }
}

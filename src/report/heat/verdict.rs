//! What a peak is worth, and how it stands against its limit.

/// A predicted rise is off by so much either way. Own working value: gel times of one bottle differ by more, and common
/// practice has nothing better.
const SPREAD: f64 = 0.15;

/// From this share of the way from the bench to the limit on a peak is shown as warm, and as hot.
const WARM: f64 = 0.4;
const HOT: f64 = 0.65;

/// A peak with what it may be off, °C.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeakBand {
    pub low_c: f64,
    pub high_c: f64,
    /// Half of what lies between them.
    pub either_c: f64,
}

/// A peak against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    Within,
    /// The likely peak is within, the high end of its band is not.
    Close,
    Over,
}

/// A peak as a shade of a chart, the coolest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shade {
    Cool,
    Warm,
    Hot,
    Close,
    Over,
}

impl PeakBand {
    /// Of a peak of resin that was poured at `start_c`.
    pub fn of(peak_c: f64, start_c: f64) -> Self {
        let either_c = SPREAD * (peak_c - start_c).max(0.0);
        Self { low_c: peak_c - either_c, high_c: peak_c + either_c, either_c }
    }
}

impl Verdict {
    pub fn of(peak_c: f64, start_c: f64, limit_c: f64) -> Self {
        if peak_c > limit_c {
            Verdict::Over
        } else if PeakBand::of(peak_c, start_c).high_c > limit_c {
            Verdict::Close
        } else {
            Verdict::Within
        }
    }

    /// A word where there is something to say.
    pub const fn word(self) -> &'static str {
        match self {
            Verdict::Within => "",
            Verdict::Close => "close",
            Verdict::Over => "OVER",
        }
    }
}

impl Shade {
    pub const ALL: [Shade; 5] = [Shade::Cool, Shade::Warm, Shade::Hot, Shade::Close, Shade::Over];

    pub fn of(peak_c: f64, start_c: f64, limit_c: f64) -> Self {
        match Verdict::of(peak_c, start_c, limit_c) {
            Verdict::Over => Shade::Over,
            Verdict::Close => Shade::Close,
            Verdict::Within => match (peak_c - start_c) / (limit_c - start_c) {
                share if share >= HOT => Shade::Hot,
                share if share >= WARM => Shade::Warm,
                _ => Shade::Cool,
            },
        }
    }

    /// What it means.
    pub const fn words(self) -> &'static str {
        match self {
            Shade::Cool => "well within",
            Shade::Warm => "warm",
            Shade::Hot => "hot",
            Shade::Close => "close to the limit",
            Shade::Over => "over the limit",
        }
    }

    /// Its place in [`Shade::ALL`].
    pub const fn place(self) -> usize {
        self as usize
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_band_is_a_share_of_the_rise() {
        let band = PeakBand::of(80.0, 20.0);
        assert_eq!((band.low_c, band.high_c, band.either_c), (71.0, 89.0, 9.0));
        assert_eq!(PeakBand::of(20.0, 20.0).either_c.to_bits(), 0.0f64.to_bits(), "without a rise nothing is off");
    }

    #[test]
    fn a_band_that_reaches_over_the_limit_is_close() {
        let against = |limit_c| Verdict::of(80.0, 20.0, limit_c);
        assert_eq!([100.0, 88.0, 79.0].map(against), [Verdict::Within, Verdict::Close, Verdict::Over]);
    }

    #[test]
    fn shades_rise_with_the_peak() {
        let shades: Vec<Shade> = (20..130).map(|peak_c| Shade::of(f64::from(peak_c), 20.0, 100.0)).collect();
        assert!(shades.is_sorted());
        assert!(Shade::ALL.iter().all(|shade| shades.contains(shade) && Shade::ALL[shade.place()] == *shade));
    }
}

//! What a night is planned from.

use super::quantiles::Quantiles;
use super::rest::{Rest, Span};
use crate::cure::{Outlook, TemperatureCurve};
use crate::material::Profile;
use crate::pour::{LayerOptions, Piece, Progress, options};
use crate::units::Celsius;
use jiff::{SignedDuration, Timestamp, tz::TimeZone};

/// Doses a layer may be poured with, as shares of the planned one. At 0.5 of it thick clear castings stay soft and at 1.4
/// they crack (common practice, no source): the choice ends before that.
pub const FACTORS: [f64; 5] = [1.0, 0.8, 0.6, 1.15, 1.3];
/// Steps each is away from the planned dose.
pub(super) const AWAY: [u16; 5] = [0, 1, 2, 1, 2];

/// How somebody wants to pour.
#[derive(Debug, Clone, PartialEq)]
pub struct NightRules {
    pub rest: Rest,
    /// How long the hands are needed before the parts meet.
    pub prepare: SignedDuration,
    /// From first contact of the parts until all is in the vessel.
    pub pouring: SignedDuration,
    /// The most that is risked, as a share: that a window has closed, that who is woken finds it not open yet, that it is not
    /// demoulded in time, that a cup gels while it is poured.
    pub risk: f64,
    /// What pouring on a closed window costs, with what that asks for, in wake-ups; `None`: it is not done.
    pub sanding: Option<f64>,
    /// It must have left the mould by then.
    pub demoulded_by: Option<Timestamp>,
    /// Whether other doses than the planned ones may be taken.
    pub doses: bool,
}

/// The most that is risked where nobody says, as a share.
pub const USUAL_RISK: f64 = 0.1;
/// Time to weigh out and lay in, and to mix and pour (own working values).
pub const USUAL_PREPARE: SignedDuration = SignedDuration::from_mins(10);
pub const USUAL_POURING: SignedDuration = SignedDuration::from_mins(5);

impl Default for NightRules {
    fn default() -> Self {
        Self {
            rest: Rest::default(),
            prepare: USUAL_PREPARE,
            pouring: USUAL_POURING,
            risk: USUAL_RISK,
            sanding: None,
            demoulded_by: None,
            doses: true,
        }
    }
}

impl NightRules {
    pub(super) fn factors(&self) -> &'static [f64] {
        if self.doses { &FACTORS } else { &FACTORS[..1] }
    }
}

/// The bench's temperature ahead, hours from the start of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchAhead {
    pub curve: TemperatureCurve,
    pub outlook: Outlook,
}

/// The uppermost layer in the vessel. Hours from the start of the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Below {
    pub layer: u32,
    pub poured_h: f64,
    pub opens: Option<Quantiles>,
    pub closes: Option<Quantiles>,
    /// When it can leave the mould.
    pub demould: Option<Quantiles>,
    /// When it is cured through.
    pub cured: Option<Quantiles>,
    /// So many layers lie on each other that are warm from one another, it among them.
    pub warm: usize,
}

/// What every layer may be poured with, worked out on a cool and a warm bench; between the two it is interpolated.
#[derive(Debug, Clone, PartialEq)]
pub struct PourOptions {
    pub(super) cool: (f64, Vec<LayerOptions>),
    pub(super) warm: (f64, Vec<LayerOptions>),
    /// What is really weighed, as a share of what is meant.
    pub(super) strength: f64,
}

/// Benches no further apart than this are one, °C.
const SAME_C: f64 = 1.0;

impl PourOptions {
    /// For the temperatures of `bench` from hour 0 on. This is where the heat model is asked: keep it while the piece, its
    /// progress and the range of temperatures stay.
    pub fn of(
        piece: &Piece,
        profile: &Profile,
        progress: &Progress,
        bench: &TemperatureCurve,
        rules: &NightRules,
    ) -> Self {
        let floor = profile.thermal().map_or(f64::NEG_INFINITY, |cure| cure.floor.value.get());
        let (cool, warm) = Self::range_c(bench);
        let (cool, warm) = (cool.max(floor), warm.max(floor));
        let at = |c: f64| {
            let conditions = crate::pour::Conditions { bench: Celsius::new(c).ok(), progress: progress.clone() };
            (c, options(piece, profile, &conditions, rules.factors()))
        };
        let cool = at(cool);
        let warm = if warm > cool.0 { at(warm) } else { cool.clone() };
        Self { cool, warm, strength: 1.0 }
    }

    /// The temperatures [`PourOptions::of`] works with on this bench, °C: the lowest and the highest, whole degrees.
    pub fn range_c(bench: &TemperatureCurve) -> (f64, f64) {
        let ahead = bench.knots().iter().filter(|knot| knot.at_h > 0.0).map(|knot| knot.celsius.get());
        let all = || ahead.clone().chain([bench.at(0.0)]);
        let (low, high) = (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max));
        if high - low < SAME_C { (bench.at(0.0).round(), bench.at(0.0).round()) } else { (low.floor(), high.ceil()) }
    }

    /// The layers that are left.
    pub fn layers(&self) -> &[LayerOptions] {
        &self.cool.1
    }
}

/// All that a plan is made from.
#[derive(Debug, Clone, Copy)]
pub struct NightAsk<'a> {
    pub piece: &'a Piece,
    pub profile: &'a Profile,
    pub progress: &'a Progress,
    pub options: &'a PourOptions,
    pub bench: &'a BenchAhead,
    pub below: Option<&'a Below>,
    /// No pour before; on the grid, as [`super::on_the_grid`] has it, for all hours here count from it.
    pub from: Timestamp,
    pub zone: &'a TimeZone,
    pub rules: &'a NightRules,
    /// When the hands are at another piece.
    pub taken: &'a [Span],
}

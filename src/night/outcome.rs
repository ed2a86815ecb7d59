//! What a night's plan says.

use super::rest::Span;
use crate::cure::Band;
use crate::material::Stage;
use crate::pour::LayerKind;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent};
use jiff::Timestamp;

/// When to pour each layer that is left.
#[derive(Debug, Clone, PartialEq)]
pub struct NightPlan {
    pub pours: Vec<NightPour>,
    pub finish: Finish,
    /// Wake-ups, and sandings at their price in wake-ups.
    pub cost: f64,
    /// The hours of sleep it was planned round, as far as it goes.
    pub asleep: Vec<Span>,
    pub busy: Vec<Span>,
    /// Layers for which something was left out because they would have got too hot.
    pub held_by_heat: Vec<u32>,
}

/// When it is finished.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Finish {
    /// The stage the last layer has reached then; `None`: it is poured, and the profile knows no more.
    pub stage: Option<Stage>,
    pub likely: Timestamp,
    /// With the risk that is taken.
    pub late: Option<Timestamp>,
}

/// One layer.
#[derive(Debug, Clone, PartialEq)]
pub struct NightPour {
    pub layer: u32,
    pub kind: LayerKind,
    /// First contact of the parts.
    pub at: Timestamp,
    pub dose: Option<DosePercent>,
    /// The dose the plan of the piece has for it, poured then on that bed.
    pub planned_dose: Option<DosePercent>,
    /// Of the layer below; `None` for the first in the vessel.
    pub window: Option<PourWindow>,
    /// Somebody has to get up for it.
    pub wakes: bool,
    /// Poured on a closed window, with what that asks for.
    pub sanded: bool,
    /// About how hot it gets poured so, °C.
    pub peak_c: Option<f64>,
    pub bench_c: f64,
    /// So many warm layers lie below it, as its dose takes them.
    pub(super) bed: usize,
}

/// The window a layer goes into. Times are likely ones with their bands; `None`: never.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PourWindow {
    pub opens: Band<Option<Timestamp>>,
    pub closes: Band<Option<Timestamp>>,
    /// The chance that it is not open yet at the pour, and that it has closed by then.
    pub not_open: f64,
    pub closed: f64,
}

impl NightPour {
    /// The chance that the window is missed; none where it is sanded anyway.
    pub fn miss(&self) -> f64 {
        self.window.filter(|_| !self.sanded).map_or(0.0, |window| window.closed)
    }

    /// The chance that the window has closed by the pour, sanded or not.
    pub fn closed(&self) -> f64 {
        self.window.map_or(0.0, |window| window.closed)
    }

    pub fn not_open(&self) -> f64 {
        self.window.map_or(0.0, |window| window.not_open)
    }
}

impl NightPlan {
    pub fn wakeups(&self) -> usize {
        self.pours.iter().filter(|pour| pour.wakes).count()
    }

    pub fn sandings(&self) -> usize {
        self.pours.iter().filter(|pour| pour.sanded).count()
    }

    /// The chance that any window is missed is at most this: what is added up need not come together (Boole's inequality).
    pub fn any_miss(&self) -> f64 {
        self.pours.iter().map(NightPour::miss).sum::<f64>().min(1.0)
    }

    pub fn first(&self) -> Option<&NightPour> {
        self.pours.first()
    }

    /// The earliest sleep that is after `at`.
    pub fn next_sleep(&self, at: Timestamp) -> Option<Span> {
        self.asleep.iter().find(|night| night.until > at).copied()
    }
}

/// Why there is no plan.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoNight {
    #[error("{0} is set by light alone: no clock decides when its next layer is poured")]
    NoClock(PlainText),
    #[error("nothing is left to pour")]
    NothingLeft,
    #[error("{0} layers are more than can be planned at once; 200 are the most")]
    TooMany(usize),
    #[error(
        "layer {layer} gets hotter than {limit} at the warmest hour that is forecast, whatever its dose: pour it thinner ('nightpour plan' says how thin), and plan \
         the night again"
    )]
    TooHot { layer: u32, limit: Celsius },
    #[error(
        "the window of the layer below has probably closed: do what its profile says of that and pour (--after-closing 0), or take \
         more risk (--risk-percent)"
    )]
    Closed,
    #[error("the bench is too cold: {0} does not set at the temperatures that are forecast")]
    TooCold(PlainText),
    #[error(
        "a cup may gel within the {pouring} that pouring takes, at the risk that is taken: mix smaller cups, be quicker (pouring in \
         [night] of the settings), or take more risk (--risk-percent)"
    )]
    PotLife { pouring: PlainText },
    /// Without the deadline it would be this.
    #[error(
        "{by} cannot be kept with {sure_percent} %: the earliest of which that is so, without a night's sleep, is {earliest}"
    )]
    TooLate { by: PlainText, earliest: PlainText, sure_percent: f64 },
    #[error("no times fit within {days} days: {hint}")]
    NothingFits { days: usize, hint: String },
}

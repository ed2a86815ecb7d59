//! What a plan says.

use super::step::StepId;
use super::warning::Warning;
use crate::material::Weights;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Grams};

/// Everything worked out for a piece.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    pub bench: Celsius,
    pub layers: Vec<LayerPlan>,
    pub totals: Totals,
    pub master: MasterBatch,
    pub opacity: Option<Opacity>,
    pub steps: Vec<Step>,
    pub warnings: Vec<Warning>,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LayerKind {
    Cast,
    /// Makes good what the cure has shrunk.
    Topping,
}

/// A dose, and why.
#[derive(Debug, Clone, PartialEq)]
pub struct Chosen {
    pub dose: DosePercent,
    /// The reasons in the order they were applied: depth, place in the stack, temperature, or the next layer's time; then limits
    /// and heat.
    pub reasons: Vec<PlainText>,
}

/// What goes into the cup of one layer besides tint. Grams come first; millilitres are for who has no scale fine enough.
#[derive(Debug, Clone, PartialEq)]
pub enum CupParts {
    Catalysed {
        catalyst_g: f64,
        catalyst_ml: f64,
        /// Only with a calibrated bottle.
        drops: Option<u32>,
        chosen: Chosen,
    },
    /// By weight, and by volume; never one's figures in the other's unit.
    TwoPart {
        a_g: f64,
        b_g: f64,
        a_ml: f64,
        b_ml: f64,
    },
    OnePart,
}

/// Where resin is poured, from one level to another.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cast {
    pub from_mm: f64,
    pub to_mm: f64,
    pub volume_ml: f64,
}

impl Cast {
    pub fn depth_mm(&self) -> f64 {
        self.to_mm - self.from_mm
    }
}

/// One layer.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerPlan {
    /// From 1, the whole piece through.
    pub number: u32,
    pub kind: LayerKind,
    pub cast: Cast,
    /// All resin of the layer's cups, the loss in them included; of a two-part system A and B together.
    pub resin_g: f64,
    pub cup_loss_g: f64,
    /// More than one where the batch would be over the profile's largest.
    pub cups: u32,
    pub tint_g: f64,
    pub parts: CupParts,
    /// How far one digit of the scale is off: percent of the catalyst, or of part B. `None` where nothing is dosed.
    pub digit_percent: Option<f64>,
    /// What lies below sets cold before this one is poured: it does not wait for the window of the layer below.
    pub cold: bool,
    /// Items laid in before this one is poured, by their place in the piece: those bedded on the layer below, and those
    /// that begin in it.
    pub bedded: Vec<usize>,
    /// About how hot it gets, °C; `None` where it was not followed in the heat model.
    pub peak_c: Option<f64>,
}

/// What is weighed and tinted once, before dividing.
#[derive(Debug, Clone, PartialEq)]
pub struct MasterBatch {
    /// Of a two-part system part A alone: the tint goes into it.
    pub resin_g: f64,
    pub tint_g: f64,
    pub reserve_g: f64,
    pub short: Option<Short>,
}

/// The resin on hand does not do.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Short {
    pub on_hand_g: f64,
    pub needed_g: f64,
    /// The last layer it does for, without reserve; `None` when not even for the first.
    pub reaches: Option<u32>,
}

/// How dark the block gets, from a test cup: the law of Beer and Lambert.
#[derive(Debug, Clone, PartialEq)]
pub struct Opacity {
    /// Decadic absorbance per mm at the piece's loading.
    pub absorbance_per_mm: f64,
    /// Light that comes through from each layer's floor up to the surface of the finished piece, percent, by layer.
    pub light_percent: Vec<f64>,
}

#[derive(Debug, Clone, PartialEq)]
pub struct Totals {
    /// All that is poured: the layers and the topping.
    pub volume_ml: f64,
    /// What the items displace below the fill.
    pub displaced_ml: f64,
    pub resin_g: f64,
    pub tint_g: f64,
    pub catalyst_g: f64,
    pub part_a_g: f64,
    pub part_b_g: f64,
    /// What stays in the cups, of the resin.
    pub cup_loss_g: f64,
    /// With the reserve; `None` where no price was given.
    pub cost: Option<f64>,
}

/// One step of the order of work.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub id: StepId,
    pub what: PlainText,
    pub caution: Option<PlainText>,
}

impl LayerPlan {
    /// What is weighed into the cup; `None` where it is too little to weigh.
    pub fn weights(&self) -> Option<Weights> {
        let grams = |figure: f64| Grams::new(figure).ok();
        let cup = grams(self.from_master_g())?;
        Some(match &self.parts {
            CupParts::Catalysed { catalyst_g, .. } => Weights::Catalysed { resin: cup, catalyst: grams(*catalyst_g)? },
            CupParts::TwoPart { b_g, .. } => Weights::TwoPart { a: cup, b: grams(*b_g)? },
            CupParts::OnePart => Weights::OnePart { amount: cup },
        })
    }

    /// Its dose; `None` for a material that has none.
    pub fn dose(&self) -> Option<DosePercent> {
        match &self.parts {
            CupParts::Catalysed { chosen, .. } => Some(chosen.dose),
            CupParts::TwoPart { .. } | CupParts::OnePart => None,
        }
    }

    /// What the layer takes out of the master batch: resin, of a two-part system part A, with its tint.
    pub fn from_master_g(&self) -> f64 {
        self.dished_g() + self.tint_g
    }

    /// The same without its tint.
    pub fn dished_g(&self) -> f64 {
        match self.parts {
            CupParts::TwoPart { a_g, .. } => a_g,
            CupParts::Catalysed { .. } | CupParts::OnePart => self.resin_g,
        }
    }
}

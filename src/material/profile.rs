//! What is known of one material, and where each figure comes from.

use super::heat::HeatFigures;
use super::learned::Learned;
use super::mixing::{DoseRule, Mixing};
use super::stage::Stage;
use crate::cure::RateLaw;
use crate::text::PlainText;
use crate::units::{Celsius, Conversion, DosePercent, Grams, GramsPerMl, Hours, Millimetres, Percent, SpreadFactor};
use serde::{Deserialize, Serialize};
use std::fmt;

/// A material's short name, as in its file name: lower-case letters, digits and hyphens, 40 at most.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct MaterialId(String);

/// The text cannot name a material.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' cannot name a material; use lower-case letters, digits and hyphens, as in 'slow-epoxy'")]
pub struct BadMaterialId(String);

impl MaterialId {
    pub fn new(name: &str) -> Result<Self, BadMaterialId> {
        let allowed = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-';
        let edge = |b: Option<&u8>| b.is_some_and(|b| *b != b'-');
        if name.len() <= 40
            && name.bytes().all(allowed)
            && edge(name.as_bytes().first())
            && edge(name.as_bytes().last())
        {
            Ok(Self(name.to_owned()))
        } else {
            Err(BadMaterialId(PlainText::new(name).as_str().to_owned()))
        }
    }

    /// The id somebody means who typed `name`: case does not count, and blanks and underscores are hyphens.
    pub fn meant(name: &str) -> Result<Self, BadMaterialId> {
        Self::new(&folded(name))
    }

    pub fn as_str(&self) -> &str {
        &self.0
    }
}

/// `name` in the spelling of an id.
pub(super) fn folded(name: &str) -> String {
    name.trim().to_lowercase().replace([' ', '_'], "-")
}

impl TryFrom<String> for MaterialId {
    type Error = BadMaterialId;
    fn try_from(name: String) -> Result<Self, BadMaterialId> {
        Self::new(&name)
    }
}

impl From<MaterialId> for String {
    fn from(id: MaterialId) -> String {
        id.0
    }
}

impl fmt::Display for MaterialId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&self.0)
    }
}

/// Where a figure comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Provenance {
    /// What the trade generally does; no single source.
    CommonPractice,
    /// Printed on the user's own bottle or data sheet.
    Label,
    /// Fitted from this shop's observations.
    Learned,
}

impl Provenance {
    pub const fn words(self) -> &'static str {
        match self {
            Provenance::CommonPractice => "common practice",
            Provenance::Label => "label",
            Provenance::Learned => "learned",
        }
    }
}

/// A figure with its origin.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Figure<T> {
    pub value: T,
    pub from: Provenance,
}

/// The quantity for which the reference durations hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReferenceAmount {
    Mass(Figure<Grams>),
    Depth(Figure<Millimetres>),
}

/// One stage's reference duration, and the test by which it is called.
#[derive(Debug, Clone, PartialEq)]
pub struct StageTime {
    pub stage: Stage,
    /// From first contact of the parts, at the reference temperature, amount and dose.
    pub after: Figure<Hours>,
    pub spread: Figure<SpreadFactor>,
    pub test: PlainText,
    /// Share reacted without which it is never reached, however long one waits.
    pub conversion: Option<Figure<Conversion>>,
    /// This stage's own temperature rule, where it differs from the material's.
    pub law: Option<Figure<RateLaw>>,
}

/// A cure driven by time and temperature.
#[derive(Debug, Clone, PartialEq)]
pub struct ThermalCure {
    pub reference_temperature: Figure<Celsius>,
    pub reference_amount: ReferenceAmount,
    /// Catalysed materials only.
    pub reference_dose: Option<Figure<DosePercent>>,
    /// n in `(dose_ref / dose)^n`; catalysed materials only.
    pub dose_exponent: Option<Figure<f64>>,
    pub law: Figure<RateLaw>,
    /// Below this the clock stands.
    pub floor: Figure<Celsius>,
    /// Above this the reference durations are not to be trusted.
    pub ceiling: Figure<Celsius>,
    /// What is known of the heat of cure.
    pub heat: Option<HeatFigures>,
    /// What was learned of the figures above and below, if anything was.
    pub learned: Option<Learned>,
    /// In the order of [`Stage`], each at most once, never empty.
    pub stages: Vec<StageTime>,
}

/// What makes the material set.
#[derive(Debug, Clone, PartialEq)]
pub enum Cure {
    Thermal(Box<ThermalCure>),
    /// Light alone: no temperature clock exists. The text says what to do instead.
    Light {
        advice: PlainText,
    },
}

/// What to do once the next-layer window has closed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum AfterClosing {
    Sand,
    Wash,
    /// Wait for full cure: the coat wrinkles if it is recoated in between.
    Wait,
    Nothing,
}

/// Lower and upper bound of a quantity; either may be open.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits<T> {
    pub min: Option<Figure<T>>,
    pub max: Option<Figure<T>>,
}

/// One material profile, checked: every value is possible and they agree with each other.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    pub id: MaterialId,
    pub name: PlainText,
    pub summary: PlainText,
    pub density: Figure<GramsPerMl>,
    /// By volume.
    pub shrinkage: Figure<Percent>,
    pub mixing: Mixing,
    pub cure: Cure,
    pub after_closing: Option<AfterClosing>,
    pub humidity_limit: Option<Figure<Percent>>,
    pub layer_depth: Limits<Millimetres>,
    pub batch_mass: Limits<Grams>,
    /// The most paste or powder it takes, percent of the resin by mass.
    pub tint_max: Option<Figure<Percent>>,
    pub cautions: Vec<PlainText>,
}

impl Profile {
    /// The thermal cure, or `None` for a material that only light sets.
    pub fn thermal(&self) -> Option<&ThermalCure> {
        match &self.cure {
            Cure::Thermal(thermal) => Some(thermal),
            Cure::Light { .. } => None,
        }
    }

    /// The dose of a layer that turned out `real_mm` deep instead of `planned_mm`, for which `planned` was chosen: the rule
    /// for the depth moves it, to hundredths and within the limits.
    pub fn dose_for_depth(&self, planned: DosePercent, planned_mm: f64, real_mm: f64) -> DosePercent {
        let Mixing::Catalysed { min, max, dose_rule: Some(rule), .. } = &self.mixing else { return planned };
        let moved = planned.get() * rule.percent_at(real_mm) / rule.percent_at(planned_mm);
        let dose = DosePercent::new((moved * 100.0).round() / 100.0).unwrap_or(planned);
        if dose < min.value {
            min.value
        } else if dose > max.value {
            max.value
        } else {
            dose
        }
    }

    /// How the dose of a layer is chosen, where the profile says more than a usual dose.
    pub fn dose_rule(&self) -> Option<&DoseRule> {
        match &self.mixing {
            Mixing::Catalysed { dose_rule, .. } => dose_rule.as_deref(),
            Mixing::TwoPart { .. } | Mixing::OnePart => None,
        }
    }
}

impl ThermalCure {
    pub fn stage(&self, stage: Stage) -> Option<&StageTime> {
        self.stages.iter().find(|time| time.stage == stage)
    }

    /// The temperature in °C below which the reaction stops short of `time`'s need; `None` where it needs no share, or where
    /// the floor lies higher: what ages only above the floor never meets the lower limit.
    pub fn warmth_for(&self, time: &StageTime) -> Option<f64> {
        let (need, stops) = (time.conversion?, self.heat.as_ref()?.stops?);
        let least_c = stops.warmth_for(need.value, self.reference_temperature.value);
        (least_c > self.floor.value.get()).then_some(least_c)
    }
}

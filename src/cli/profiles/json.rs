//! What `profiles --json` prints. The keys are a promise: they may grow, but not change.

mod heat;
mod mixing;

use super::check::Checked;
use crate::cli::problems::Place;
use crate::cure::RateLaw;
use crate::folders::{BadFile, Trouble};
use crate::material::{
    AfterClosing, Cure, Figure, Item, LearnedStage, Origin, Profile, ReferenceAmount, Stage, StageTime, ThermalCure,
};
use crate::strict::Problem;
use crate::text::PlainText;
use crate::units::{
    Celsius, Conversion, DosePercent, Grams, GramsPerMl, Hours, KjPerMol, Millimetres, Percent, Q10, SpreadFactor,
};
use heat::HeatJson;
use mixing::MixingJson;
use serde::Serialize;

#[derive(Serialize)]
pub(super) struct ListJson<'a> {
    pub materials: Vec<ListedJson<'a>>,
    pub unused_files: Vec<BadFileJson<'a>>,
}

#[derive(Serialize)]
pub(super) struct ListedJson<'a> {
    id: &'a str,
    name: &'a str,
    summary: &'a str,
    /// The user's file; `null` for a built-in profile.
    file: Option<&'a str>,
    fingerprint: &'a str,
}

impl<'a> ListedJson<'a> {
    pub fn new(item: &'a Item) -> Self {
        Self {
            id: item.profile.id.as_str(),
            name: item.profile.name.as_str(),
            summary: item.profile.summary.as_str(),
            file: match &item.origin {
                Origin::Embedded => None,
                Origin::File(path) => Some(path),
            },
            fingerprint: &item.fingerprint.0,
        }
    }
}

#[derive(Serialize)]
pub(super) struct BadFileJson<'a> {
    file: &'a str,
    trouble: String,
}

impl<'a> BadFileJson<'a> {
    pub fn new(bad: &'a BadFile) -> Self {
        Self { file: &bad.path, trouble: bad.trouble.to_string() }
    }
}

#[derive(Serialize)]
pub(super) struct CheckJson<'a> {
    pub files: Vec<CheckedJson<'a>>,
    pub bad_files: usize,
}

#[derive(Serialize)]
pub(super) struct CheckedJson<'a> {
    file: &'a str,
    fine: bool,
    /// Why the file could not even be read.
    trouble: Option<String>,
    problems: Vec<ProblemJson<'a>>,
    warnings: Vec<ProblemJson<'a>>,
}

impl<'a> CheckedJson<'a> {
    pub fn new(checked: &'a Checked) -> Self {
        let at = |problems: &'a [Problem]| problems.iter().map(|p| ProblemJson::new(&checked.source, p)).collect();
        let (trouble, problems, warnings) = match &checked.outcome {
            Ok(warnings) => (None, Vec::new(), at(warnings)),
            Err(Trouble::Problems(problems)) => (None, at(problems), Vec::new()),
            Err(trouble) => (Some(trouble.to_string()), Vec::new(), Vec::new()),
        };
        Self { file: &checked.file, fine: checked.outcome.is_ok(), trouble, problems, warnings }
    }
}

#[derive(Serialize)]
struct ProblemJson<'a> {
    line: usize,
    column: usize,
    what: &'a str,
    value: Option<&'a str>,
    remedy: &'a str,
}

impl<'a> ProblemJson<'a> {
    fn new(source: &str, problem: &'a Problem) -> Self {
        let Place { line, column } = Place::of(source, problem.span.start);
        let Problem { what, value, remedy, .. } = problem;
        Self { line, column, what, value: value.as_deref(), remedy }
    }
}

#[derive(Serialize)]
pub(super) struct ProfileJson<'a> {
    #[serde(flatten)]
    listed: ListedJson<'a>,
    density_g_per_ml: Figure<GramsPerMl>,
    shrinkage_percent: Figure<Percent>,
    mixing: MixingJson<'a>,
    cure: CureJson<'a>,
    heat: Option<HeatJson>,
    after_closing: Option<AfterClosing>,
    limits: LimitsJson,
    cautions: Vec<&'a str>,
}

impl<'a> ProfileJson<'a> {
    pub fn new(item: &'a Item) -> Self {
        let profile = &item.profile;
        Self {
            listed: ListedJson::new(item),
            density_g_per_ml: profile.density,
            shrinkage_percent: profile.shrinkage,
            mixing: MixingJson::new(&profile.mixing),
            cure: CureJson::new(&profile.cure),
            heat: profile.thermal().and_then(|cure| cure.heat.as_ref()).map(HeatJson::new),
            after_closing: profile.after_closing,
            limits: LimitsJson::new(profile),
            cautions: profile.cautions.iter().map(PlainText::as_str).collect(),
        }
    }
}

#[derive(Serialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
enum CureJson<'a> {
    TimeAndTemperature(Box<ThermalJson<'a>>),
    Light { advice: &'a str },
}

impl<'a> CureJson<'a> {
    fn new(cure: &'a Cure) -> Self {
        match cure {
            Cure::Thermal(thermal) => CureJson::TimeAndTemperature(Box::new(ThermalJson::new(thermal))),
            Cure::Light { advice } => CureJson::Light { advice: advice.as_str() },
        }
    }
}

#[derive(Serialize)]
struct ThermalJson<'a> {
    reference_c: Figure<Celsius>,
    reference_depth_mm: Option<Figure<Millimetres>>,
    reference_mass_g: Option<Figure<Grams>>,
    reference_dose_percent: Option<Figure<DosePercent>>,
    dose_exponent: Option<Figure<f64>>,
    #[serde(flatten)]
    law: LawJson,
    floor_c: Figure<Celsius>,
    ceiling_c: Figure<Celsius>,
    stages: Vec<StageJson<'a>>,
}

impl<'a> ThermalJson<'a> {
    fn new(cure: &'a ThermalCure) -> Self {
        let (depth, mass) = match cure.reference_amount {
            ReferenceAmount::Depth(depth) => (Some(depth), None),
            ReferenceAmount::Mass(mass) => (None, Some(mass)),
        };
        Self {
            reference_c: cure.reference_temperature,
            reference_depth_mm: depth,
            reference_mass_g: mass,
            reference_dose_percent: cure.reference_dose,
            dose_exponent: cure.dose_exponent,
            law: LawJson::new(Some(cure.law)),
            floor_c: cure.floor,
            ceiling_c: cure.ceiling,
            stages: cure.stages.iter().map(|time| StageJson::new(time, cure.learned_of(time.stage))).collect(),
        }
    }
}

/// Exactly one of the two, or neither where a stage or the heat follows the material's rule.
#[derive(Serialize)]
struct LawJson {
    q10: Option<Figure<Q10>>,
    activation_kj_per_mol: Option<Figure<KjPerMol>>,
}

impl LawJson {
    fn new(law: Option<Figure<RateLaw>>) -> Self {
        match law {
            Some(Figure { value: RateLaw::Q10(value), from }) => {
                Self { q10: Some(Figure { value, from }), activation_kj_per_mol: None }
            }
            Some(Figure { value: RateLaw::Arrhenius(value), from }) => {
                Self { q10: None, activation_kj_per_mol: Some(Figure { value, from }) }
            }
            None => Self { q10: None, activation_kj_per_mol: None },
        }
    }
}

#[derive(Serialize)]
struct StageJson<'a> {
    stage: Stage,
    after_h: Figure<Hours>,
    spread_factor: Figure<SpreadFactor>,
    test: &'a str,
    needs_conversion: Option<Figure<Conversion>>,
    #[serde(flatten)]
    law: LawJson,
    /// What was learned of it; `null` where its time is not a learned one.
    learned: Option<LearnedJson>,
}

#[derive(Serialize)]
struct LearnedJson {
    /// Of this stage; 0 where it goes along with the others.
    observations: u32,
    after_h_was: Figure<Hours>,
    spread_factor_was: Figure<SpreadFactor>,
}

impl<'a> StageJson<'a> {
    fn new(time: &'a StageTime, learned: Option<&LearnedStage>) -> Self {
        Self {
            stage: time.stage,
            after_h: time.after,
            spread_factor: time.spread,
            test: time.test.as_str(),
            needs_conversion: time.conversion,
            law: LawJson::new(time.law),
            learned: learned.map(|learned| LearnedJson {
                observations: learned.observations,
                after_h_was: learned.after_was,
                spread_factor_was: learned.spread_was,
            }),
        }
    }
}

#[derive(Serialize)]
struct LimitsJson {
    layer_min_mm: Option<Figure<Millimetres>>,
    layer_max_mm: Option<Figure<Millimetres>>,
    batch_min_g: Option<Figure<Grams>>,
    batch_max_g: Option<Figure<Grams>>,
    humidity_percent: Option<Figure<Percent>>,
    tint_max_percent: Option<Figure<Percent>>,
}

impl LimitsJson {
    fn new(profile: &Profile) -> Self {
        Self {
            layer_min_mm: profile.layer_depth.min,
            layer_max_mm: profile.layer_depth.max,
            batch_min_g: profile.batch_mass.min,
            batch_max_g: profile.batch_mass.max,
            humidity_percent: profile.humidity_limit,
            tint_max_percent: profile.tint_max,
        }
    }
}

//! What the heat is asked of: a piece, or one layer by itself.

use super::{HeatArgs, HeatError};
use crate::cli::piece_file::PieceFile;
use crate::cli::shared::{Desk, Failure};
use crate::cure::TemperatureCurve;
use crate::heat::{LayerAsk, MaterialHeat};
use crate::material::{Mixing, Profile};
use crate::pour::{Conditions, Piece, PieceHeat, Plan, Progress, heat_of, heat_of_layer, plan};
use crate::report::Cup;
use crate::text::PlainText;
use crate::units::{Celsius, DosePercent, Millimetres};

/// A piece with its plan.
pub(super) struct Cast {
    pub piece: Piece,
    pub plan: Plan,
}

/// What the heat is asked of, with its material calibrated.
pub(super) struct Asked {
    pub profile: Profile,
    pub material: MaterialHeat,
    /// The layer asked for; of a piece its deepest. It starts as warm as the bench.
    pub layer: LayerAsk,
    pub cast: Option<Cast>,
}

/// The layers with their heat.
pub(super) struct Heated<'a> {
    pub asked: &'a Asked,
    pub heat: PieceHeat,
}

impl Asked {
    /// What the arguments ask for.
    pub fn read(args: &HeatArgs, desk: &Desk) -> Result<Self, HeatError> {
        match (&args.piece, &args.material) {
            (Some(path), _) => {
                let file = PieceFile::read(path, desk)?;
                let profile = file.material()?.profile.clone();
                let conditions = Conditions { bench: args.bench_c, progress: Progress::default() };
                let plan = plan(&file.piece, &profile, &conditions);
                Self::of_piece(&file.piece, &profile, &plan)
            }
            (None, material) => {
                let name = material.as_deref().unwrap_or_default();
                let catalogue = desk.catalogue_for(name)?;
                let profile = &catalogue.find(name).map_err(Failure::from)?.profile;
                Self::of_layer(args, profile)
            }
        }
    }

    /// A piece that is planned, and its deepest layer.
    pub fn of_piece(piece: &Piece, profile: &Profile, plan: &Plan) -> Result<Self, HeatError> {
        let deepest = plan.layers.iter().max_by(|a, b| a.cast.depth_mm().total_cmp(&b.cast.depth_mm()));
        let no_layer = || HeatError::NoLayer { piece: piece.name.clone() };
        let deepest = deepest.ok_or_else(no_layer)?;
        let depth = Millimetres::new(deepest.cast.depth_mm()).map_err(|_| no_layer())?;
        let dose = Cup::of(deepest).dose_percent.and_then(|percent| DosePercent::new(percent).ok());
        let layer = LayerAsk { depth, dose, start: plan.bench };
        let cast = Cast { piece: piece.clone(), plan: plan.clone() };
        Ok(Self { material: calibrated(profile)?, profile: profile.clone(), layer, cast: Some(cast) })
    }

    fn of_layer(args: &HeatArgs, profile: &Profile) -> Result<Self, HeatError> {
        let dose = match (&profile.mixing, args.dose_percent) {
            (Mixing::Catalysed { usual, .. }, given) => Some(given.unwrap_or(usual.value)),
            (Mixing::TwoPart { .. } | Mixing::OnePart, None) => None,
            (Mixing::TwoPart { .. } | Mixing::OnePart, Some(_)) => {
                return Err(HeatError::NoDose { material: profile.id.clone() });
            }
        };
        let material = calibrated(profile)?;
        let start = args.bench_c.unwrap_or_else(|| bench_of(profile));
        let layer = LayerAsk { depth: args.depth_mm.unwrap_or_else(|| usual_depth(profile)), dose, start };
        Ok(Self { material, profile: profile.clone(), layer, cast: None })
    }

    /// The bench, which stays as warm as it is.
    pub fn bench(&self) -> TemperatureCurve {
        TemperatureCurve::constant(self.layer.start)
    }

    pub fn heated(&self) -> Result<Heated<'_>, HeatError> {
        let Self { profile, material, layer, cast } = self;
        let heat = match cast {
            Some(Cast { piece, plan }) => heat_of(piece, profile, plan, material, &self.bench())
                .ok_or_else(|| HeatError::NoRoom { piece: piece.name.clone() })?,
            None => heat_of_layer(profile, material, layer),
        };
        Ok(Heated { asked: self, heat })
    }

    /// What nothing of it may get hotter than: the profile's limit, and those of a piece's items.
    pub fn limit(&self) -> Celsius {
        let items = self.cast.iter().flat_map(|cast| &cast.piece.items).filter_map(|item| item.heat_limit);
        items.fold(self.material.peak_limit(), |least, limit| if limit < least { limit } else { least })
    }

    /// The same in words.
    pub fn limit_words(&self) -> String {
        let limit = self.limit();
        let whose = if limit < self.material.peak_limit() { "an embedded item's" } else { "the profile's" };
        format!("{limit:.0}, {whose}")
    }

    /// What is odd about the layer asked for, against its profile.
    pub fn remarks(&self) -> Vec<String> {
        let mut remarks = Vec::new();
        let Some(cure) = self.profile.thermal() else { return remarks };
        let bench = self.layer.start;
        if bench < cure.floor.value {
            remarks
                .push(format!("{bench:.1} is below the floor of the profile, {}: it hardly sets.", cure.floor.value));
        }
        if bench > cure.ceiling.value {
            remarks
                .push(format!("{bench:.1} is above the profile's ceiling, {}: do not rely on it.", cure.ceiling.value));
        }
        let (Mixing::Catalysed { min, max, .. }, Some(dose)) = (&self.profile.mixing, self.layer.dose) else {
            return remarks;
        };
        if dose < min.value || dose > max.value {
            remarks.push(format!("{dose} is outside the profile's doses, {} to {}.", min.value, max.value));
        }
        remarks
    }
}

/// The layer as `--sweep`, `--suggest` and `--cup-g` name it.
pub(super) fn of_what(asked: &Asked) -> PlainText {
    match &asked.cast {
        Some(cast) => PlainText::new(&format!("the deepest layer of {}", cast.piece.name)),
        None => PlainText::new("one wide layer by itself, on a thin base on the bench"),
    }
}

fn calibrated(profile: &Profile) -> Result<MaterialHeat, HeatError> {
    MaterialHeat::of(profile).map_err(|why| HeatError::NoHeat { material: profile.id.clone(), why })
}

fn bench_of(profile: &Profile) -> Celsius {
    profile.thermal().map_or(Celsius::ROOM, |cure| cure.reference_temperature.value)
}

/// For a sweep without a depth, which only has to lie somewhere in it.
fn usual_depth(profile: &Profile) -> Millimetres {
    profile.layer_depth.max.map_or(Millimetres::ORDINARY_LAYER, |max| max.value)
}

//! What could be poured instead: how deep at this dose, what dose at this depth, in how many layers it stays coolest.
//!
//! By bisection on the model: a deeper layer and a stronger dose are hotter, a stronger dose gels sooner. What comes out is
//! a whole number of tenths of a millimetre, or of hundredths of a per cent, on the safe side.

use super::material_heat::{LayerAsk, MaterialHeat};
use super::sweep::SweepCell;
use crate::material::{Mixing, Profile};
use crate::root::furthest;
use crate::units::{Celsius, DosePercent, Hours, Millimetres};

/// Steps a millimetre, and a per cent: finer nobody pours or weighs.
const STEPS_A_MM: f64 = 10.0;
const STEPS_A_PERCENT: f64 = 100.0;

/// Thinnest layer looked at where the profile has no limit, and deepest, mm. Own working values.
const THIN_MM: f64 = 1.0;
const DEEP_MM: f64 = 60.0;

/// A depth is cut into so many layers at most.
const MOST_LAYERS: u32 = 6;

/// The layer somebody wants to pour, and what must hold.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SuggestAsk {
    /// Its start is the temperature of the bench.
    pub layer: LayerAsk,
    pub limit: Celsius,
    /// From its pour.
    pub gel_within: Hours,
}

/// What can be said of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suggestion {
    pub deepest: Option<Deepest>,
    /// `None` for a material that has no dose to choose.
    pub doses: Option<Doses>,
    /// The whole depth at once, and in equal layers, each with the weakest dose that gels in time; those of which none
    /// gels in time are left out.
    pub ways: Vec<Way>,
    limit: Celsius,
}

/// The deepest single layer at the dose asked for that stays within the limit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Deepest {
    pub cell: SweepCell,
    /// It is the deepest that the profile allows, or that was looked at: the heat would allow more.
    pub held: bool,
}

/// The doses at the depth asked for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Doses {
    /// The weakest of the profile's doses that gels in time; `None` where none does.
    pub weakest: Option<SweepCell>,
    /// The strongest of them that stays within the limit; `None` where none does.
    pub strongest: Option<SweepCell>,
}

/// The whole depth in so many equal layers, one of them by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Way {
    pub layers: u32,
    pub cell: SweepCell,
}

impl Doses {
    /// From the weakest to the strongest, where there is any that does both.
    pub fn range(&self) -> Option<[SweepCell; 2]> {
        let [weakest, strongest] = [self.weakest?, self.strongest?];
        (weakest.ask.dose <= strongest.ask.dose).then_some([weakest, strongest])
    }
}

impl Suggestion {
    pub fn of(material: &MaterialHeat, profile: &Profile, wish: &SuggestAsk) -> Self {
        let model = Model { profile, wish, cell: &|ask| SweepCell::of(material, ask) };
        Self { deepest: model.deepest(), doses: model.doses(), ways: model.ways(), limit: wish.limit }
    }

    /// The way with the lowest peak that stays within the limit.
    pub fn coolest(&self) -> Option<Way> {
        self.within().min_by(|a, b| a.cell.peak_c.total_cmp(&b.cell.peak_c))
    }

    /// The way with the fewest layers that stays within it.
    pub fn fewest(&self) -> Option<Way> {
        self.within().next()
    }

    fn within(&self) -> impl Iterator<Item = Way> {
        self.ways.iter().filter(|way| way.cell.resolved && way.cell.peak_c <= self.limit.get()).copied()
    }
}

/// What is asked, of what, and how one layer is worked out.
struct Model<'a> {
    profile: &'a Profile,
    wish: &'a SuggestAsk,
    cell: &'a dyn Fn(LayerAsk) -> SweepCell,
}

impl Model<'_> {
    fn cool(&self, cell: &SweepCell) -> bool {
        cell.resolved && cell.peak_c <= self.wish.limit.get()
    }

    fn in_time(&self, cell: &SweepCell) -> bool {
        cell.gel_h.is_some_and(|gel_h| gel_h <= self.wish.gel_within.get())
    }

    fn deepest(&self) -> Option<Deepest> {
        let limits = &self.profile.layer_depth;
        let most_mm = limits.max.map_or(DEEP_MM, |max| max.value.get());
        let least_mm = limits.min.map_or(THIN_MM, |min| min.value.get()).min(most_mm);
        let (from, to) = ((least_mm * STEPS_A_MM).ceil(), (most_mm * STEPS_A_MM).floor());
        let (cell, held) = furthest(from, to, |step| {
            let depth = Millimetres::new(step / STEPS_A_MM).ok()?;
            Some((self.cell)(LayerAsk { depth, ..self.wish.layer })).filter(|cell| self.cool(cell))
        })?;
        Some(Deepest { cell, held })
    }

    /// The profile's least and largest dose, in steps.
    fn dose_steps(&self) -> Option<[f64; 2]> {
        let Mixing::Catalysed { min, max, .. } = &self.profile.mixing else { return None };
        let [least, most] = [min, max].map(|dose| dose.value.get() * STEPS_A_PERCENT);
        Some([least.ceil(), most.floor()])
    }

    fn doses(&self) -> Option<Doses> {
        let [least, most] = self.dose_steps()?;
        let depth = self.wish.layer.depth;
        let strongest = furthest(least, most, |step| self.dosed(depth, step).filter(|cell| self.cool(cell)));
        Some(Doses { weakest: self.weakest(depth), strongest: strongest.map(|(cell, _)| cell) })
    }

    fn dosed(&self, depth: Millimetres, step: f64) -> Option<SweepCell> {
        let dose = DosePercent::new(step / STEPS_A_PERCENT).ok()?;
        Some((self.cell)(LayerAsk { depth, dose: Some(dose), ..self.wish.layer }))
    }

    /// A layer so deep with the weakest dose that gels in time, or the only one there is.
    fn weakest(&self, depth: Millimetres) -> Option<SweepCell> {
        match self.dose_steps() {
            Some([least, most]) => {
                let in_time = |step| self.dosed(depth, step).filter(|cell| self.in_time(cell));
                furthest(most, least, in_time).map(|(cell, _)| cell)
            }
            None => Some((self.cell)(LayerAsk { depth, ..self.wish.layer })).filter(|cell| self.in_time(cell)),
        }
    }

    fn ways(&self) -> Vec<Way> {
        let whole_mm = self.wish.layer.depth.get();
        let thinnest_mm = self.profile.layer_depth.min.map_or(THIN_MM, |min| min.value.get());
        let depth = |layers: u32| Millimetres::new(whole_mm / f64::from(layers)).ok();
        (1..=MOST_LAYERS)
            .map_while(|layers| Some((layers, depth(layers).filter(|each| layers == 1 || each.get() >= thinnest_mm)?)))
            .filter_map(|(layers, each)| Some(Way { layers, cell: self.weakest(each)? }))
            .collect()
    }
}

#[cfg(test)]
mod tests;

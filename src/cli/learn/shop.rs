//! A material with what the notebook tells of it, and its fit.

use super::LearnError;
use crate::bench::{HeatBook, Log};
use crate::cli::shared::Desk;
use crate::learn::{Gathered, Look, ShopFit, ShopModel, TellsNothing, Trial, TrialRange, gather};
use crate::material::{Item, MaterialId, Mixing, ThermalCure};
use crate::units::Celsius;

/// A bench that somebody can work at is no colder and no warmer, °C.
const BENCH_C: (f64, f64) = (10.0, 32.0);

pub(super) struct Shop {
    pub item: Item,
    /// As the label says: nothing learned.
    pub label: ThermalCure,
    pub log: Log,
    pub gathered: Gathered,
    pub fit: ShopFit,
}

impl Shop {
    pub fn of(material: &str, desk: &Desk) -> Result<Self, LearnError> {
        let item = desk.catalogue_for(material)?.find(material).map_err(crate::cli::shared::Failure::from)?.clone();
        Self::of_item(item, Log::replay(desk.entries().map_err(crate::cli::shared::Failure::from)?))
    }

    pub fn of_item(item: Item, log: Log) -> Result<Self, LearnError> {
        let id = item.profile.id.clone();
        let label = item.profile.as_labelled().thermal().ok_or_else(|| LearnError::Light(id.clone()))?.clone();
        let gathered = gather(&log, &heat_of(&log, &id), &id, None);
        let looks: Vec<Look> = gathered.looks.iter().map(|logged| logged.look.clone()).collect();
        let fit = ShopFit::of(ShopModel::of(&label), &looks).map_err(LearnError::undetermined(&id))?;
        Ok(Self { item, label, log, gathered, fit })
    }

    pub fn id(&self) -> &MaterialId {
        &self.item.profile.id
    }

    /// How many looks are set aside: those that contradict each other or stand alone, and those that tell nothing.
    pub fn left_out(&self) -> usize {
        self.gathered.set_aside.len() + self.fit.used.iter().filter(|used| used.is_err()).count()
    }

    /// The looks that were used, with their place among the data.
    pub fn used(&self) -> impl Iterator<Item = (&crate::learn::Logged, usize)> {
        self.gathered.looks.iter().zip(&self.fit.used).filter_map(|(logged, used)| Some((logged, (*used).ok()?)))
    }

    /// The looks that tell nothing, with the reason.
    pub fn silent(&self) -> impl Iterator<Item = (&crate::learn::Logged, TellsNothing)> {
        self.gathered.looks.iter().zip(&self.fit.used).filter_map(|(logged, used)| Some((logged, (*used).err()?)))
    }

    /// The trial cup that would tell most.
    pub fn best_trial(&self) -> Option<Trial> {
        self.fit.best_trial(&self.range(None)?)
    }

    /// The same on the bench as it was last measured.
    pub fn best_trial_here(&self) -> Option<Trial> {
        let here = self.log.readings().last()?.celsius;
        self.fit.best_trial(&self.range(Some(here))?)
    }

    fn range(&self, at: Option<Celsius>) -> Option<TrialRange> {
        let (floor, ceiling) = (self.label.floor.value.get(), self.label.ceiling.value.get());
        let least = at.or_else(|| Celsius::new((floor + 1.0).max(BENCH_C.0).ceil()).ok())?;
        let most = at.or_else(|| Celsius::new((ceiling - 1.0).min(BENCH_C.1).floor()).ok())?;
        let doses = match &self.item.profile.mixing {
            Mixing::Catalysed { min, max, .. } => Some((min.value, max.value)),
            Mixing::TwoPart { .. } | Mixing::OnePart => None,
        };
        Some(TrialRange { least, most, doses }).filter(|_| least.get() > floor && least <= most)
    }
}

/// The heat of all batches of one material, which moves when their stages came.
pub(super) fn heat_of(log: &Log, material: &MaterialId) -> HeatBook {
    let observed = |batch: &&crate::bench::Batch| batch.mix.material == *material && !batch.observations.is_empty();
    HeatBook::of_batches(log, log.batches().filter(observed))
}

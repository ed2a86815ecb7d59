//! The heat of all that runs, kept from one look to the next: only what changed is followed again.

use super::OwnHeat;
use super::cup::BatchCup;
use super::pile::{BatchPile, PileId, room};
use crate::bench::batch::Batch;
use crate::bench::command::cup_g;
use crate::bench::entry::{BatchId, EntryId, Part};
use crate::bench::log::Log;
use crate::heat::MaterialHeat;
use crate::material::Fingerprint;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the running batches' own heat does to them. It follows the notebook, not the time.
#[derive(Debug, Clone, Default)]
pub struct HeatBook {
    /// The newest entry that was taken in.
    known: Option<EntryId>,
    materials: Materials,
    piles: BTreeMap<PileId, Option<BatchPile>>,
    cups: BTreeMap<BatchId, BatchCup>,
    own: BTreeMap<BatchId, Arc<OwnHeat>>,
}

/// The materials in use as the heat model takes them; `None` for one of whose heat nothing is known.
#[derive(Debug, Clone, Default)]
pub(super) struct Materials(BTreeMap<Fingerprint, Option<Arc<MaterialHeat>>>);

impl Materials {
    pub fn of(&mut self, batch: &Batch) -> Option<Arc<MaterialHeat>> {
        let profile = batch.profile.as_deref()?;
        let calibrated = || MaterialHeat::of(profile).ok().map(Arc::new);
        self.0.entry(batch.mix.profile.clone()).or_insert_with(calibrated).clone()
    }
}

impl HeatBook {
    /// The heat of what runs in `log`.
    pub fn of(log: &Log) -> Self {
        let mut book = Self::default();
        book.follow(log);
        book
    }

    /// The heat of `batches` of `log`, whether they run or not.
    pub fn of_batches<'b>(log: &Log, batches: impl Iterator<Item = &'b Batch>) -> Self {
        let (mut book, before) = (Self::default(), Self::default());
        for batch in batches {
            book.take_in(batch, log, &before);
        }
        book
    }

    /// Takes in what is new in `log`.
    pub fn follow(&mut self, log: &Log) {
        if self.known == Some(log.last()) {
            return;
        }
        let before = std::mem::take(self);
        self.known = Some(log.last());
        self.materials.clone_from(&before.materials);
        for batch in log.running() {
            self.take_in(batch, log, &before);
        }
    }

    /// What is known of a batch that runs.
    pub fn get(&self, batch: BatchId) -> Option<&Arc<OwnHeat>> {
        self.own.get(&batch)
    }

    /// The same of any batch, also of one that is not mixed yet; worked out where this book does not know it.
    pub(in crate::bench) fn own(&self, batch: &Batch, log: &Log) -> Option<Arc<OwnHeat>> {
        if self.known == Some(log.last()) && self.own.contains_key(&batch.id) {
            return self.get(batch.id).cloned();
        }
        let mut book = Self { materials: self.materials.clone(), ..Self::default() };
        book.take_in(batch, log, self);
        book.own.remove(&batch.id)
    }

    fn take_in(&mut self, batch: &Batch, log: &Log, before: &Self) {
        let layer = self.in_layer(batch, log, before);
        let cup = self.in_cup(batch, log, before);
        if let Some(own) = joined(layer, cup) {
            self.own.insert(batch.id, Arc::new(own));
        }
    }

    fn in_layer(&mut self, batch: &Batch, log: &Log, before: &Self) -> Option<OwnHeat> {
        let part = batch.mix.part;
        if part.is_some_and(Part::is_trial) {
            return None;
        }
        let known = |id: PileId| before.piles.get(&id).and_then(Option::as_ref);
        let materials = &mut self.materials;
        if let Some(piece) = part.and_then(Part::piece) {
            let id = PileId::Piece(piece);
            let follow = || BatchPile::of_piece(piece, batch, log, materials, known(id));
            // What could not be followed among its neighbours is not told as a layer by itself, which is cooler.
            if let Some(pile) = self.piles.entry(id).or_insert_with(follow) {
                return pile.own_heat(batch);
            }
        }
        let (id, depth) = (PileId::Wide(batch.id), batch.mix.depth?);
        let follow = || BatchPile::wide(batch, depth, log, &mut self.materials, known(id));
        self.piles.entry(id).or_insert_with(follow).as_ref()?.own_heat(batch)
    }

    fn in_cup(&mut self, batch: &Batch, log: &Log, before: &Self) -> Option<OwnHeat> {
        let profile = batch.profile.as_deref()?;
        let mass = cup_g(profile, batch.mix.resin?, batch.mix.part)?;
        let material = self.materials.of(batch)?;
        let bench = room(batch, log)?;
        let cup = before.cups.get(&batch.id).filter(|cup| cup.holds(batch, &bench)).cloned();
        let cup = cup.or_else(|| BatchCup::of(batch, mass, &material, bench))?;
        let heat = cup.heat.clone();
        self.cups.insert(batch.id, cup);
        Some(heat)
    }
}

/// The heat of a batch that is mixed in a cup and, if it is a `layer`, leaves it: its pot life is the cup's.
fn joined(layer: Option<OwnHeat>, cup: Option<OwnHeat>) -> Option<OwnHeat> {
    match (layer, cup) {
        (Some(mut layer), Some(cup)) => {
            layer.stages.extend(cup.stages);
            Some(layer)
        }
        (layer, cup) => layer.or(cup),
    }
}

//! The layers followed in the heat model as they will stand, to see what dose stays cool.
//!
//! What was poured already is poured in the model at its own time; each layer to come follows when the one below it is
//! ready, as in [`crate::pour::heat_of`], and with the same code. A layer must stay cool both when nothing is poured on it
//! and when the next one, at its least dose, follows at once: a later dose can then always be chosen so that it does not
//! spoil this one.

mod cooling;
mod told;
mod trial;

use super::conditions::{Laid, Progress};
use super::dose::Place;
use super::ground::Ground;
use super::layers::Cut;
use crate::cure::TemperatureCurve;
use crate::heat::{ItemWatch, MaterialHeat, Pile};
use crate::material::Stage;
use crate::pour::heat::{Room, Stack, Stretch};
use crate::pour::hollow::{hollow, item_watches, surroundings};
use crate::units::DosePercent;

pub(super) use cooling::Cooling;
pub(super) use trial::{Hottest, Top, Tried};

/// So many layers ahead are followed: a plan is made anew at every keystroke. What lies higher takes the dose of the last
/// followed layer that is like it.
const AHEAD: usize = 24;

/// So many of the layers that are poured already are followed; what lies below them, or was poured longer ago, counts as
/// cured and as warm as the bench.
const BEHIND: usize = 24;
const WARM_H: f64 = 72.0;

/// Depths closer than this are one, mm.
const LIKE_MM: f64 = 0.1;
/// And doses, %.
const SAME_PERCENT: f64 = 0.005;

/// What the model needs besides the piece; worked out once for a plan.
pub(super) struct Model {
    material: MaterialHeat,
    bench: TemperatureCurve,
}

/// A layer in the model's room.
#[derive(Debug, Clone, Copy)]
struct Lie {
    from_m: f64,
    to_m: f64,
    /// It waits until what lies below has set cold.
    cold: bool,
}

/// What two layers have to have in common to take the same dose.
#[derive(Debug, Clone, Copy)]
pub(super) struct Like {
    pub place: Place,
    /// What the rule would have, %: it tells the warm layers below and the bench.
    pub wanted: f64,
}

/// A layer that has its dose.
#[derive(Debug, Clone)]
struct Taken {
    like: Like,
    dose: DosePercent,
    cooling: Cooling,
}

#[derive(Clone)]
pub(super) struct Following<'g> {
    ground: &'g Ground<'g>,
    material: &'g MaterialHeat,
    stack: Stack<'g>,
    watches: Vec<ItemWatch>,
    limit_c: f64,
    /// The layers that are left to pour.
    lies: Vec<Lie>,
    /// So many of them are poured in the model.
    poured: usize,
    /// So many lay in the vessel before.
    base: usize,
    taken: Vec<Taken>,
    /// Layers that may be too hot, by their place among those to pour, and what each was poured on.
    hot: Vec<(usize, Stack<'g>)>,
}

impl Model {
    /// `None` where nothing is known of the material's heat.
    pub fn of(ground: &Ground<'_>) -> Option<Self> {
        let material = MaterialHeat::of(ground.profile).ok()?;
        Some(Self { material, bench: TemperatureCurve::constant(ground.bench) })
    }
}

impl<'g> Following<'g> {
    /// From what is poured already on, for `cuts`; `None` where the vessel's room cannot be worked out.
    pub fn new(ground: &'g Ground<'g>, cuts: &[Cut], model: &'g Model) -> Option<Self> {
        let hollow = hollow(ground.piece)?;
        let stretch = |cut: &Cut| Stretch { kind: cut.kind, from_mm: cut.from_mm, to_mm: cut.to_mm };
        let room = Room::new(hollow.height_m(), ground.progress.level_mm, cuts.iter().map(stretch));
        let mut from_m = room.level_m(ground.progress.level_mm);
        let lies = cuts.iter().map(|cut| {
            let to_m = room.top_m(stretch(cut));
            let lie = Lie { from_m, to_m, cold: cut.cold };
            from_m = to_m;
            lie
        });
        let lies = lies.collect();
        let watches = item_watches(ground.piece);
        let begins_h = warm(&ground.progress.laid).first().map_or(0.0, |laid| -laid.ago_h);
        let around = surroundings(ground.piece);
        let pile = Pile::new(hollow, around, model.bench.clone(), begins_h, watches.clone());
        let mut stack = Stack::new(pile, ground.profile, &model.material, &model.bench);
        lay_what_is_there(&mut stack, ground.progress, room);
        let base = stack.pile.peaks().layers.len();
        let limit_c = model.material.peak_limit().get();
        let (taken, hot) = (Vec::new(), Vec::new());
        let material = &model.material;
        Some(Self { ground, material, stack, watches, limit_c, lies, poured: 0, base, taken, hot })
    }

    /// Whether the layer to come is one of those that are followed.
    pub fn is_ahead(&self) -> bool {
        self.poured < AHEAD
    }

    /// The number and the dose of the last layer that was followed and is like this one.
    pub fn last_like(&self, like: Like) -> Option<(u32, DosePercent)> {
        let last = self.taken.iter().rev().find(|taken| taken.like.is(like))?;
        Some((last.like.place.number, last.dose))
    }

    /// Waits until the layer to come can be poured; not before now.
    pub fn wait(&mut self) {
        let Some(lie) = self.lies.get(self.poured).filter(|_| self.is_ahead()) else { return };
        self.stack.wait(lie.cold);
        self.stack.pile.run_until(0.0);
    }

    /// The layer that is poured onto the one to come while that is warm.
    fn next(&self) -> Option<Lie> {
        self.lies.get(self.poured + 1).filter(|next| !next.cold).copied()
    }

    /// How long after its pour the layer to come could take the next one at `dose`, hours; `None` where it never can.
    pub fn opens_h(&self, dose: DosePercent) -> Option<f64> {
        let mut tried = self.stack.clone();
        tried.pour(self.lies.get(self.poured)?.to_m, Some(dose), waits);
        let poured_h = tried.pile.now_h();
        tried.wait(false);
        Some(tried.pile.reached_h(Stage::NextLayerOpens)? - poured_h)
    }

    /// Remembers what the layer to come is poured on: it has no dose that could keep it cool.
    pub fn remember(&mut self) {
        if self.is_ahead() {
            self.hot.push((self.poured, self.stack.clone()));
        }
    }

    /// Pours the layer to come.
    pub fn pour(&mut self, dose: Option<DosePercent>) {
        if let Some(lie) = self.lies.get(self.poured).filter(|_| self.is_ahead()) {
            self.stack.pour(lie.to_m, dose, waits);
            self.poured += 1;
        }
    }

    /// Whether the last layer that was poured gets too hot at any dose.
    pub fn is_too_hot(&self) -> bool {
        self.taken.last().is_some_and(|taken| !taken.cooling.is_possible())
    }

    /// How long `mass_g` of the material stay usable in their cup, hours; `None` where that is not known.
    pub fn pot_life_h(&self, mass_g: f64, dose: Option<DosePercent>) -> Option<f64> {
        let bench = TemperatureCurve::constant(self.ground.bench);
        self.material.pot_life_h(mass_g, dose, &bench)
    }

    /// Notes what a followed layer takes.
    pub fn note(&mut self, like: Like, dose: DosePercent, cooling: Cooling) {
        self.taken.push(Taken { like, dose, cooling });
    }
}

impl Like {
    fn is(self, other: Like) -> bool {
        let (here, there) = (self.place, other.place);
        (here.depth_mm - there.depth_mm).abs() < LIKE_MM
            && here.followed == there.followed
            && (here.warm_below == 0) == (there.warm_below == 0)
            && (self.wanted - other.wanted).abs() < SAME_PERCENT
    }
}

/// The stages at which a next layer is poured.
fn waits(stage: Stage) -> bool {
    matches!(stage, Stage::NextLayerOpens | Stage::Demould)
}

/// Those of the layers in the vessel that are followed.
fn warm(laid: &[Laid]) -> &[Laid] {
    let cold = laid.iter().rposition(|laid| laid.ago_h >= WARM_H).map_or(0, |last| last + 1);
    &laid[cold.max(laid.len().saturating_sub(BEHIND))..]
}

fn lay_what_is_there(stack: &mut Stack<'_>, progress: &Progress, room: Room) {
    let warm = warm(&progress.laid);
    let cold = &progress.laid[..progress.laid.len() - warm.len()];
    let cold_mm = if warm.is_empty() { progress.level_mm } else { cold.last().map_or(0.0, |last| last.to_mm) };
    stack.lay_cold(room.level_m(cold_mm));
    for laid in warm {
        stack.pile.run_until(-laid.ago_h);
        stack.pour(room.level_m(laid.to_mm), laid.dose, waits);
    }
}

#[cfg(test)]
mod tests;

//! One layer poured on a copy of the stack, to see what gets too hot.

use super::{Following, Lie, waits};
use crate::heat::{Fineness, ItemWatch, Peaks, StageHeat};
use crate::material::Stage;
use crate::pour::Item;
use crate::pour::heat::{FOLLOWED_H, Stack};
use crate::pour::plan::dose::doses;
use crate::root::furthest;
use crate::units::DosePercent;

/// Depths are tried in halves of a millimetre: what is said of them is said as "about".
const STEPS_A_MM: f64 = 2.0;

/// Thinnest layer worth pouring where nothing says so, mm.
const THIN_MM: f64 = 1.0;

const MM_A_M: f64 = 1000.0;

/// How the layer that is tried ends.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::pour::plan) enum Top {
    /// Nothing is poured on it.
    Open,
    /// The next layer, at its least dose, is poured on it as soon as it can be.
    Covered,
}

/// What comes nearest to its limit, or is furthest over it.
#[derive(Debug, Clone, PartialEq)]
pub(in crate::pour::plan) struct Hottest {
    /// A layer below or an item; `None` for the layer itself.
    pub what: Option<String>,
    /// Under the limit this is what it got to until it was clear that it stays there.
    pub peak_c: f64,
    pub limit_c: f64,
    pub top: Top,
}

impl Hottest {
    pub fn over_c(&self) -> f64 {
        self.peak_c - self.limit_c
    }
}

/// What the layer to come does by itself.
pub(in crate::pour::plan) struct Tried {
    pub peak_c: f64,
    /// Hours after its pour, of its cup the end of the pot life left out; what it never reaches is not there.
    pub stages_h: Vec<(Stage, f64)>,
}

impl<'g> Following<'g> {
    /// The layer to come with nothing poured on it, followed to its end; `None` where there is none.
    pub fn tried_open(&self, dose: Option<DosePercent>) -> Option<Tried> {
        let lie = *self.lies.get(self.poured)?;
        let mut tried = self.stack.clone().with(Fineness::TRYING);
        tried.pour(lie.to_m, dose, |stage| stage != Stage::PotLife);
        tried.pile.run_until_calm(tried.pile.now_h() + FOLLOWED_H);
        let layers = tried.pile.layers();
        let layer = layers.last()?;
        let reached = |heat: &StageHeat| Some((heat.stage, heat.at_h? - layer.poured_h));
        Some(Tried { peak_c: layer.peak_c, stages_h: layer.stages.iter().filter_map(reached).collect() })
    }

    /// What is hottest, held against its limit, with `lie` poured at `dose`; `None` where nothing follows to cover it.
    pub(super) fn hottest(&self, lie: Lie, dose: DosePercent, top: Top) -> Option<Hottest> {
        let mut tried = self.stack.clone().with(Fineness::TRYING);
        tried.pour(lie.to_m, Some(dose), waits);
        if top == Top::Covered {
            let next = self.next()?;
            tried.wait(false);
            tried.pour(next.to_m, doses(self.ground).map(|doses| doses.least), |_| false);
        }
        let most = self.most(lie);
        tried.pile.run_until_below(most.lowest_c(), tried.pile.now_h() + FOLLOWED_H);
        self.worst(&tried.pile.peaks(), &most, top)
    }

    /// How hot everything may get while `lie` is the uppermost layer: as hot as its limit, or as it was already.
    fn most(&self, lie: Lie) -> Peaks {
        let so_far = self.stack.pile.peaks();
        let limit = |(item, watch): (&Item, &ItemWatch)| item.heat_limit.filter(|_| watch.from_m < lie.to_m);
        let limits = self.ground.piece.items.iter().zip(&self.watches).map(limit);
        let most = |(limit, so_far): (Option<crate::units::Celsius>, &f64)| {
            limit.map_or(f64::INFINITY, |limit| limit.get().max(*so_far))
        };
        let layers = so_far.layers.iter().map(|so_far| so_far.max(self.limit_c));
        Peaks { layers: layers.chain([self.limit_c]).collect(), items: limits.zip(&so_far.items).map(most).collect() }
    }

    /// What of `peaks` is furthest over `most`; what `most` does not have is left out.
    fn worst(&self, peaks: &Peaks, most: &Peaks, top: Top) -> Option<Hottest> {
        let own = most.layers.len() - 1;
        let pairs = peaks.layers.iter().zip(&most.layers).enumerate();
        let layers = pairs.map(|(place, (peak_c, limit_c))| (*peak_c, *limit_c, (place != own).then_some(Err(place))));
        let pairs = self.ground.piece.items.iter().zip(peaks.items.iter().zip(&most.items));
        let items = pairs.map(|(item, (peak_c, limit_c))| (*peak_c, *limit_c, Some(Ok(item))));
        let (peak_c, limit_c, what) = layers.chain(items).max_by(|a, b| (a.0 - a.1).total_cmp(&(b.0 - b.1)))?;
        let what = what.map(|what| what.map_or_else(|place| self.layer_words(place), Item::counted));
        Some(Hottest { what, peak_c, limit_c, top })
    }

    fn layer_words(&self, place: usize) -> String {
        match place.checked_sub(self.base).and_then(|place| u32::try_from(place).ok()) {
            Some(ahead) => format!("layer {}", self.ground.progress.poured + 1 + ahead),
            None => "what is poured".to_owned(),
        }
    }

    /// How deep a layer stays cool in place of the one at `place` among those to come, mm, `on` being what it was poured on;
    /// `None` where not even the thinnest does.
    pub(super) fn deepest_mm(&self, place: usize, on: &Stack<'g>, dose: Option<DosePercent>) -> Option<f64> {
        let lie = self.lies[place];
        let depth_mm = (lie.to_m - lie.from_m) * MM_A_M;
        let thinnest_mm = self.ground.thinnest_mm().unwrap_or(THIN_MM);
        let (from, to) = ((thinnest_mm * STEPS_A_MM).ceil(), (depth_mm * STEPS_A_MM).ceil() - 1.0);
        let mut most = on.pile.peaks();
        most.layers.iter_mut().for_each(|so_far| *so_far = so_far.max(self.limit_c));
        most.layers.push(self.limit_c);
        most.items.clear();
        let cool = |step: f64| {
            let mut tried = on.clone().with(Fineness::TRYING);
            tried.pour(lie.from_m + step / STEPS_A_MM / MM_A_M, dose, |_| false);
            let stays = tried.pile.runs_within(&most, tried.pile.now_h() + FOLLOWED_H);
            stays.then_some(step / STEPS_A_MM)
        };
        if to < from { None } else { furthest(from, to, cool).map(|(deepest_mm, _)| deepest_mm) }
    }
}

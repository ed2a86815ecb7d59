//! What each layer may be poured with: doses round the planned one that stay cool, by how many warm layers lie below, and when
//! the layer's stages come with its own heat.

use super::amounts;
use super::choice;
use super::conditions::{Conditions, Progress};
use super::dose::{Doses, Place, doses, hundredths, of_hundredths};
use super::follow::{Following, Like, Model, Tried};
use super::ground::{Ground, SAME_MM};
use super::layers::{self, Cut};
use super::outcome::{LayerKind, LayerPlan};
use super::passed;
use crate::material::{Profile, Stage};
use crate::pour::Piece;
use crate::units::DosePercent;

/// Layers this alike share what was worked out for one of them, mm.
const ALIKE_MM: f64 = 0.1;

/// And this share of their volumes, as ln.
const ALIKE_SHARE: f64 = 0.1;

/// A layer that is left to pour.
#[derive(Debug, Clone, PartialEq)]
pub struct LayerOptions {
    pub number: u32,
    pub kind: LayerKind,
    pub depth_mm: f64,
    /// What lies below sets cold before it is poured.
    pub cold: bool,
    /// By how many warm layers lie below it: none, one, and so on; the last one for all above. Each has the planned dose and
    /// those asked for beside it that stay cool.
    pub beds: Vec<Vec<DoseOption>>,
}

/// One dose.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseOption {
    /// Which of the factors asked for.
    pub factor: usize,
    /// Of catalysed materials.
    pub dose: Option<DosePercent>,
    /// About how hot it gets with nothing poured on it, °C; `None` where nothing is known of the heat.
    pub peak_c: Option<f64>,
    /// Hours after its pour, on a bench that stays so, with its own heat; empty where that is not known.
    pub stages_h: Vec<(Stage, f64)>,
}

/// The options of all layers that are left of `piece`, which is made of the material of `profile`: the planned dose times each
/// of `factors`. A material whose parts are mixed as they come has one option a bed.
pub fn options(piece: &Piece, profile: &Profile, conditions: &Conditions, factors: &[f64]) -> Vec<LayerOptions> {
    let raised = passed::raised(&Ground::new(piece, profile, conditions), &mut Vec::new());
    let ground = Ground::new(raised.as_ref().unwrap_or(piece), profile, conditions);
    let cuts = layers::cuts(&ground);
    let model = Model::of(&ground);
    let mut done: Vec<LayerOptions> = Vec::with_capacity(cuts.len());
    for (place, cut) in cuts.iter().enumerate() {
        let beds = (0..bed_count(profile)).map(|warm| {
            let alike =
                cuts[..place].iter().enumerate().rfind(|(other, _)| are_alike(&ground, &cuts, *other, place, warm));
            match alike {
                // So many warm layers cannot lie there.
                _ if warm > place + ground.progress.warm_layers as usize => Vec::new(),
                Some((other, _)) => done[other].beds[warm].clone(),
                None => Bed { ground: &ground, cuts: &cuts, place, warm }.options(model.as_ref(), factors),
            }
        });
        let beds = beds.collect();
        let (number, kind, cold) = (cut.number, cut.kind, cut.cold);
        done.push(LayerOptions { number, kind, depth_mm: cut.to_mm - cut.from_mm, cold, beds });
    }
    done
}

/// How many beds are told apart: a cold one, and those whose dose differs by what lies below.
fn bed_count(profile: &Profile) -> usize {
    let stack = profile.dose_rule().and_then(|rule| rule.warm_stack.as_ref());
    stack.map_or(1, |stack| stack.factors.len() + 1)
}

/// Whether what was worked out for the cut at `other` on so many warm layers holds for that at `place`.
fn are_alike(ground: &Ground<'_>, cuts: &[Cut], other: usize, place: usize, warm: usize) -> bool {
    if other < warm {
        return false;
    }
    let depth = |cut: &Cut| cut.to_mm - cut.from_mm;
    let column = |top: usize| &cuts[top - warm..=top];
    let followed = |top: usize| cuts.get(top + 1).map(|next| (next.cold, (depth(next) / ALIKE_MM).round()));
    let (low_mm, high_mm) = (column(other)[0].from_mm, cuts[place].to_mm);
    let delicate = ground.piece.items.iter().any(|item| {
        item.heat_limit.is_some() && item.from.get() < high_mm + SAME_MM && item.to_mm() > low_mm - SAME_MM
    });
    // What is wider or narrower is another cup.
    let volume_ml = |top: usize| ground.space.volume_between_ml(cuts[top].from_mm, cuts[top].to_mm);
    let as_much = (volume_ml(other) / volume_ml(place)).ln().abs() < ALIKE_SHARE;
    !delicate
        && as_much
        && followed(other) == followed(place)
        && column(other).iter().zip(column(place)).all(|(a, b)| (depth(a) - depth(b)).abs() < ALIKE_MM)
}

/// A layer on so many warm ones.
struct Bed<'a> {
    ground: &'a Ground<'a>,
    cuts: &'a [Cut],
    place: usize,
    warm: usize,
}

impl Bed<'_> {
    fn options(&self, model: Option<&Model>, factors: &[f64]) -> Vec<DoseOption> {
        // What lies below counts from here on; below that all is cold. Layers that are in the vessel already are taken as they are.
        let first = self.place.saturating_sub(self.warm);
        let cold = Progress { level_mm: self.cuts[first].from_mm, laid: Vec::new(), ..self.ground.progress.clone() };
        let really = self.warm > self.place && !self.ground.progress.laid.is_empty();
        let ground = Ground { progress: if really { self.ground.progress } else { &cold }, ..*self.ground };
        let mut following = model.and_then(|model| Following::new(&ground, &self.cuts[first..], model));
        let mut told = Vec::new();
        for below in first..self.place {
            let warm = self.warm + below - self.place;
            choice::choose(&ground, self.at(below, warm), following.as_mut(), &mut told);
        }
        let place = self.at(self.place, self.warm);
        if let Some(following) = &mut following {
            following.wait();
        }
        let before = following.clone();
        let chosen = choice::choose(&ground, place, following.as_mut(), &mut told);
        // By the plan's own times not even the least dose stays cool; by others it may, which only they can tell.
        let at_most: &[f64] =
            if following.as_ref().is_some_and(Following::is_too_hot) { &factors[..1] } else { factors };
        let layer = amounts::layer(&ground, self.cuts[self.place].clone(), chosen, &mut told);
        let planned = layer.dose();
        let Some((planned, limits)) = planned.zip(doses(&ground)) else {
            return Self::option(0, None, &layer, before.as_ref(), None).into_iter().collect();
        };
        let doses = at_most.iter().enumerate().filter_map(|(factor, times)| {
            let dose = within(planned, *times, limits)?;
            Self::option(factor, Some(dose), &layer, before.as_ref(), (*times > 1.0).then_some((place, limits)))
        });
        doses.collect()
    }

    /// One dose tried; `None` where it gets too hot. `asked`: it is more than what was found to stay cool.
    fn option(
        factor: usize,
        dose: Option<DosePercent>,
        layer: &LayerPlan,
        before: Option<&Following<'_>>,
        asked: Option<(Place, Doses)>,
    ) -> Option<DoseOption> {
        // Where nothing is known of the heat, nothing stronger than planned is tried.
        let Some(before) = before else {
            let option = DoseOption { factor, dose, peak_c: None, stages_h: Vec::new() };
            return asked.is_none().then_some(option);
        };
        if let Some(((place, limits), dose)) = asked.zip(dose) {
            let like = Like { place, wanted: dose.get() };
            if !before.clone().cool(like, limits.least, dose).is_cool() {
                return None;
            }
        }
        let Tried { peak_c, mut stages_h } = before.tried_open(dose)?;
        let cup_g = layer.resin_g / f64::from(layer.cups.max(1));
        stages_h.extend(before.pot_life_h(cup_g, dose).map(|h| (Stage::PotLife, h)));
        Some(DoseOption { factor, dose, peak_c: Some(peak_c), stages_h })
    }

    fn at(&self, place: usize, warm: usize) -> Place {
        let cut = &self.cuts[place];
        let followed = self.cuts.get(place + 1).is_some_and(|next| !next.cold);
        let warm_below = u32::try_from(warm).unwrap_or(u32::MAX);
        Place { number: cut.number, depth_mm: cut.to_mm - cut.from_mm, warm_below, followed }
    }
}

/// `planned` times a factor, to a hundredth of a per cent; `None` outside the profile's limits.
fn within(planned: DosePercent, times: f64, limits: Doses) -> Option<DosePercent> {
    let dose = of_hundredths(hundredths(planned.get() * times))?;
    // The planned one stands whatever the limits say of it.
    let inside = dose >= limits.least && dose <= limits.most || dose == planned;
    inside.then_some(dose)
}

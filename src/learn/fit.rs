//! A fit: the most likely parameters under a prior, and how well they are known.

use super::datum::Datum;
use super::likelihood::{Curvature, ln_likelihood};
use super::newton::{NoTop, Top, climb};
use super::shape::{SPREAD_FLOOR, Shape, spread_of, spread_slope};
use crate::cure::Doubt;
use nalgebra::{DMatrix, DVector};

/// How firmly a pinned parameter is held, against its prior or its own unit.
const PINNED: f64 = 1e12;
/// η of a spread that is its floor.
const AT_FLOOR: f64 = -12.0;
/// A spread this near its floor is the floor's.
const NEAR_FLOOR: f64 = 1.02;
/// The first order says too much where hardly anything is known of the spread: it is raised by half at most.
const MOST_RAISED: f64 = 0.4;
/// A location known no better than this in ln(time), a factor of a million, is not known.
const UNKNOWN: f64 = 14.0;

/// What is known before looking: a normal distribution over the parameters; a precision of 0 is no knowledge.
#[derive(Debug, Clone, PartialEq)]
pub struct Prior {
    pub mean: DVector<f64>,
    pub precision: DMatrix<f64>,
}

/// The parameters after looking: normal about `at` by Laplace's approximation.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    pub shape: Shape,
    pub at: DVector<f64>,
    pub covariance: DMatrix<f64>,
    /// Of the data alone, without the prior.
    pub ln_likelihood: f64,
    /// The looks do not tell the spread: its floor stands in.
    pub spread_is_floor: bool,
    /// Newton steps taken.
    pub steps: usize,
}

/// The data do not say where the parameters are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Undetermined;

impl Prior {
    /// No knowledge: the most likely parameters are those of the data alone.
    pub fn none(shape: Shape) -> Self {
        Self { mean: DVector::zeros(shape.len()), precision: DMatrix::zeros(shape.len(), shape.len()) }
    }

    /// A normal of its own for one parameter.
    pub fn know(&mut self, place: usize, mean: f64, sd: f64) {
        self.mean[place] = mean;
        self.precision[(place, place)] = 1.0 / (sd * sd);
    }

    /// Variance of each parameter; infinite where something is not known at all.
    pub fn variance(&self) -> DVector<f64> {
        let factor = self.precision.clone().cholesky();
        factor.map_or(DVector::from_element(self.mean.len(), f64::INFINITY), |factor| factor.inverse().diagonal())
    }

    /// The same with `places` held at the mean.
    fn pinning(&self, places: &[usize]) -> Self {
        let mut pinned = self.clone();
        for place in places {
            pinned.precision[(*place, *place)] += PINNED * self.precision[(*place, *place)].max(1.0);
        }
        pinned
    }

    fn add_to(&self, sum: &mut Curvature, at: &DVector<f64>) {
        let off = at - &self.mean;
        let pull = &self.precision * &off;
        sum.value -= 0.5 * off.dot(&pull);
        sum.gradient -= pull;
        sum.hessian -= &self.precision;
    }
}

/// ln of the posterior density, but for a constant, with its derivatives.
pub(super) fn ln_posterior(shape: Shape, data: &[Datum], prior: &Prior, at: &DVector<f64>) -> Curvature {
    let mut sum = ln_likelihood(shape, data, at);
    prior.add_to(&mut sum, at);
    sum
}

/// The most likely parameters from the best of several `starts`, those of `pinned` held at the prior's mean.
pub(super) fn fit(
    shape: Shape,
    data: &[Datum],
    prior: &Prior,
    starts: &[DVector<f64>],
    pinned: &[usize],
) -> Result<Fit, Undetermined> {
    let held = prior.pinning(pinned);
    let climbed = |start: &DVector<f64>| {
        let mut start = start.clone();
        for place in pinned {
            start[*place] = prior.mean[*place];
        }
        climb(start, |at| ln_posterior(shape, data, &held, at))
    };
    let best = starts.iter().filter_map(|start| climbed(start).ok()).max_by(|a, b| a.value.total_cmp(&b.value));
    let (top, spread_is_floor) = match best {
        Some(top) if spread_of(top.at[shape.spread()]) > NEAR_FLOOR * SPREAD_FLOOR => (top, false),
        _ => (at_the_floor(shape, data, &held, starts).map_err(|NoTop| Undetermined)?, true),
    };
    let known = |place: usize| top.covariance[(place, place)] < UNKNOWN * UNKNOWN;
    if !(0..shape.stages).all(|stage| known(shape.stage(stage))) {
        return Err(Undetermined);
    }
    // How well the pinned ones are known is what the prior and the data say, not the pin.
    let covariance = if pinned.is_empty() { top.covariance } else { spread_out(shape, data, prior, &top, pinned) };
    let ln_likelihood = ln_likelihood(shape, data, &top.at).value;
    Ok(Fit { shape, at: top.at, covariance, ln_likelihood, spread_is_floor, steps: top.steps })
}

fn at_the_floor(shape: Shape, data: &[Datum], prior: &Prior, starts: &[DVector<f64>]) -> Result<Top, NoTop> {
    let mut floor = prior.clone();
    let place = shape.spread();
    floor.mean[place] = AT_FLOOR;
    floor.precision[(place, place)] = PINNED;
    let from = |start: &DVector<f64>| {
        let mut start = start.clone();
        start[place] = AT_FLOOR;
        climb(start, |at| ln_posterior(shape, data, &floor, at)).ok()
    };
    starts.iter().filter_map(from).max_by(|a, b| a.value.total_cmp(&b.value)).ok_or(NoTop)
}

/// The covariance at a top where `pinned` were held: what prior and data say without the pins. Where the surface does not fall
/// off along a pinned one, because slips leave more than one top, that one is as the prior knows it.
fn spread_out(shape: Shape, data: &[Datum], prior: &Prior, top: &Top, pinned: &[usize]) -> DMatrix<f64> {
    let here = ln_posterior(shape, data, prior, &top.at);
    if let Some(factor) = (-here.hessian).cholesky() {
        return factor.inverse();
    }
    let mut covariance = top.covariance.clone();
    for place in pinned.iter().filter(|place| prior.precision[(**place, **place)] > 0.0) {
        covariance[(*place, *place)] = 1.0 / prior.precision[(*place, *place)];
    }
    covariance
}

impl Fit {
    /// The same with the spread that is most likely whatever the other parameters are. The most likely spread beside the most
    /// likely others is too small, since those were fitted to the same looks: of n residuals with p fitted parameters, by
    /// n/(n − p). To first order in Laplace's approximation η moves by var(η) · p, where p = tr(1 − C Λ) counts what the looks,
    /// and not the prior's precision Λ, have fixed (`MacKay` 1992 calls it the number of well-determined parameters).
    pub(super) fn with_honest_spread(
        &self,
        data: &[Datum],
        prior: &Prior,
        pinned: &[usize],
    ) -> Result<Self, Undetermined> {
        let place = self.shape.spread();
        if self.spread_is_floor {
            return Ok(self.clone());
        }
        let known = &self.covariance * &prior.precision;
        let determined: f64 = (0..place).filter(|i| !pinned.contains(i)).map(|i| 1.0 - known[(i, i)]).sum();
        let mut held = prior.pinning(pinned);
        let raised = (self.covariance[(place, place)] * determined.max(0.0)).min(MOST_RAISED);
        held.mean[place] = self.at[place] + raised;
        held.precision[(place, place)] = PINNED;
        let mut start = self.at.clone();
        start[place] = held.mean[place];
        let top = climb(start, |at| ln_posterior(self.shape, data, &held, at)).map_err(|NoTop| Undetermined)?;
        // Of the others at this spread; how well it is known itself is as before.
        let mut beside = prior.clone();
        beside.precision[(place, place)] = PINNED;
        let mut covariance = spread_out(self.shape, data, &beside, &top, pinned);
        covariance[(place, place)] = self.covariance[(place, place)];
        Ok(Self { at: top.at, covariance, ..self.clone() })
    }

    /// Standard deviation of one parameter.
    pub fn sd(&self, place: usize) -> f64 {
        self.covariance[(place, place)].sqrt()
    }

    /// What is unknown of a stage's location, its rule and the dose exponent, learned at the warmths `seen`.
    pub fn doubt(&self, stage: usize, rule: usize, seen: (f64, f64)) -> Doubt {
        let places = [Some(self.shape.stage(stage)), Some(self.shape.rule(rule)), self.shape.dose()];
        let of = |i: usize, j: usize| places[i].zip(places[j]).map_or(0.0, |(i, j)| self.covariance[(i, j)]);
        let covariance = [of(0, 0), of(0, 1), of(0, 2), of(1, 1), of(1, 2), of(2, 2)];
        Doubt::new(covariance, seen).unwrap_or(Doubt::NOTHING_LEARNED)
    }

    /// σ of ln(time).
    pub fn spread(&self) -> f64 {
        spread_of(self.at[self.shape.spread()])
    }

    /// Standard deviation of σ; `None` where the floor stands in for it.
    pub fn spread_sd(&self) -> Option<f64> {
        let place = self.shape.spread();
        (!self.spread_is_floor).then(|| self.spread() * spread_slope(self.at[place]) * self.sd(place))
    }
}

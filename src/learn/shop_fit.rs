//! A shop's own figures: the fit of its looks, and what each of them is worth.

use super::datum::Datum;
use super::fit::{Fit, Prior, Undetermined, fit};
use super::look::{Look, TellsNothing};
use super::plain::seen;
use super::shop::ShopModel;
use crate::cure::{CureRule, Doubt, RateLaw};
use crate::units::{Hours, KjPerMol, Q10};
use nalgebra::DVector;

/// A parameter counts as learned once the looks have taken this share of its variance away.
const LEARNED_SHARE: f64 = 0.5;

/// What the looks say of one figure.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// From so many looks.
    Learned { looks: u32 },
    /// Nobody looked for it: it goes along with the other stages of the shop.
    GoesAlong,
    /// Still the label's: there are no looks at all.
    Label,
    /// There are looks, but they do not tell it.
    CannotTell(Missing),
}

/// What would tell it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Missing {
    /// One at a clearly different temperature.
    Temperature,
    /// One with a clearly different dose.
    Dose,
    /// One shortly before and one shortly after.
    Bracket,
    /// More of them.
    More,
}

/// The fit of a shop.
#[derive(Debug, Clone, PartialEq)]
pub struct ShopFit {
    pub model: ShopModel,
    pub(super) fit: Fit,
    pub(super) data: Vec<Datum>,
    /// For each look: its place among the data, or why it is not there.
    pub used: Vec<Result<usize, TellsNothing>>,
    pub stages: Vec<Verdict>,
    pub rules: Vec<Verdict>,
    pub dose: Option<Verdict>,
    pub spread: Verdict,
}

impl ShopFit {
    /// Fits `looks` beside what the label says; with none of them it is the label, as weakly known as common practice knows it.
    pub fn of(model: ShopModel, looks: &[Look]) -> Result<Self, Undetermined> {
        let shape = model.shape();
        let mut data = Vec::new();
        let used = looks
            .iter()
            .map(|look| {
                data.push(look.datum(&model)?);
                Ok(data.len() - 1)
            })
            .collect();
        let (prior, starts) = (model.prior(), model.starts(&data));
        let free = fit(shape, &data, &prior, &starts, &[])?;
        let mut shop =
            Self { model, fit: free, data, used, stages: vec![], rules: vec![], dose: None, spread: Verdict::Label };
        shop.judge(&prior);
        // What the looks do not tell stays the label's, and the rest is fitted to that.
        let told = |verdict: &Verdict| matches!(verdict, Verdict::Learned { .. });
        let rules = shop.rules.iter().enumerate().filter(|(_, verdict)| !told(verdict)).map(|(i, _)| shape.rule(i));
        let dose = shape.dose().filter(|_| !shop.dose.as_ref().is_some_and(told));
        let pinned: Vec<usize> = rules.chain(dose).collect();
        if !pinned.is_empty() {
            let from = shop.fit.at.clone();
            shop.fit = fit(shape, &shop.data, &prior, &[from], &pinned)?;
        }
        shop.fit = shop.fit.with_honest_spread(&shop.data, &prior, &pinned)?;
        Ok(shop)
    }

    fn judge(&mut self, prior: &Prior) {
        let shape = self.model.shape();
        let before = prior.variance();
        let share = |place: usize| 1.0 - self.fit.covariance[(place, place)] / before[place];
        let count = |of: &dyn Fn(&Datum) -> bool| {
            u32::try_from(self.data.iter().filter(|datum| of(datum)).count()).unwrap_or(u32::MAX)
        };
        let any = !self.data.is_empty();
        let verdict = |looks: u32, place: usize, missing: Missing| match looks {
            0 => Verdict::Label,
            looks if share(place) >= LEARNED_SHARE => Verdict::Learned { looks },
            _ => Verdict::CannotTell(missing),
        };
        let stage = |i: usize| match verdict(count(&|d| d.stage == i), shape.stage(i), Missing::Bracket) {
            Verdict::Label if any => Verdict::GoesAlong,
            verdict => verdict,
        };
        let stages = (0..shape.stages).map(stage).collect();
        let rule = |i: usize| verdict(count(&|d| d.rule == i), shape.rule(i), Missing::Temperature);
        let rules = (0..shape.rules).map(rule).collect();
        let dosed = |place| verdict(count(&|_| true), place, Missing::Dose);
        let dose = shape.dose().map(dosed);
        let spread = verdict(count(&|_| true), shape.spread(), Missing::More);
        (self.stages, self.rules, self.dose, self.spread) = (stages, rules, dose, spread);
    }

    /// How many looks were used.
    pub fn looks(&self) -> usize {
        self.data.len()
    }

    /// The stage's shop factor, and the standard deviation of its ln.
    pub fn factor(&self, stage: usize) -> (f64, f64) {
        let place = self.model.shape().stage(stage);
        (self.fit.at[place].exp(), self.fit.sd(place))
    }

    /// The stage's time at the reference, as this shop has it.
    pub fn after(&self, stage: usize) -> Hours {
        let label = self.model.stages[stage].label;
        Hours::new(label.get() * self.factor(stage).0).unwrap_or(label)
    }

    /// The temperature rule as this shop has it, and the standard deviation of its coefficient.
    pub fn rule(&self, rule: usize) -> (CureRule, f64) {
        let place = self.model.shape().rule(rule);
        let label = self.model.rules[rule].rule;
        let law = with_coefficient(label.law, self.fit.at[place]);
        (CureRule { law, ..label }, self.fit.sd(place))
    }

    /// The dose exponent as this shop has it, with its standard deviation.
    pub fn exponent(&self) -> Option<(f64, f64)> {
        self.model.shape().dose().map(|place| (self.fit.at[place], self.fit.sd(place)))
    }

    /// Least and most mean warmth of the looks of a rule's stages; none beyond it where nobody looked, as the prior then says
    /// it all.
    pub fn seen(&self, rule: usize) -> (f64, f64) {
        let of = || self.data.iter().filter(|datum| datum.rule == rule);
        if of().next().is_none() { (f64::NEG_INFINITY, f64::INFINITY) } else { seen(of()) }
    }

    /// From batch to batch, ln(time) of a stage: the root of the mean of σ² over what it still may be.
    pub fn spread_of(&self, stage: usize) -> f64 {
        let doubt = self.fit.spread_sd().map_or(0.0, |sd| sd / self.fit.spread());
        self.model.stages[stage].ratio * self.fit.spread() * (doubt * doubt).exp()
    }

    /// What is still unknown of a stage's figures.
    pub fn doubt(&self, stage: usize) -> Doubt {
        let rule = self.model.stages[stage].rule;
        self.fit.doubt(stage, rule, self.seen(rule))
    }

    /// The parameters, in the order of the shape.
    pub(super) fn at(&self) -> &DVector<f64> {
        &self.fit.at
    }
}

/// The law with another coefficient, within what such a law can be.
fn with_coefficient(law: RateLaw, coefficient: f64) -> RateLaw {
    match law {
        RateLaw::Q10(q) => RateLaw::Q10(Q10::new(coefficient.exp().max(1.0)).unwrap_or(q)),
        RateLaw::Arrhenius(e) => RateLaw::Arrhenius(KjPerMol::new(coefficient).unwrap_or(e)),
    }
}

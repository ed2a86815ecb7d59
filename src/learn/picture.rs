//! A stage's looks and times over the temperature, for a chart.

use super::datum::Span;
use super::exposure::Exposure;
use super::shop_fit::ShopFit;
use crate::cure::{log_sd, normal_quantile};

/// Points of a line.
const POINTS: u32 = 24;
/// So far beyond the coldest and the warmest look, °C.
const MARGIN_C: f64 = 2.0;

/// One look, as if with the reference dose and without own heat.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// The mean temperature.
    pub celsius: f64,
    /// Hours at that temperature: not there yet, and there.
    pub after_h: Option<f64>,
    pub by_h: Option<f64>,
    /// How likely it is no slip.
    pub trust: f64,
}

/// A temperature with the hours that a stage takes there.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    pub celsius: f64,
    /// By the label.
    pub label_h: f64,
    /// As this shop has it: early, likely and late.
    pub early_h: f64,
    pub likely_h: f64,
    pub late_h: f64,
}

/// A stage in a picture: the reference dose, hours over °C.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// The place of the stage among the terms.
    pub stage: usize,
    pub marks: Vec<Mark>,
    pub points: Vec<Point>,
}

impl ShopFit {
    /// A picture of each stage that somebody looked for.
    pub fn pictures(&self) -> Vec<Picture> {
        (0..self.model.stages.len()).filter_map(|stage| self.picture(stage)).collect()
    }

    fn picture(&self, stage: usize) -> Option<Picture> {
        let (rule, _) = self.rule(self.model.stages[stage].rule);
        let places = (0..self.data.len()).filter(|place| self.data[*place].stage == stage);
        let marks: Vec<Mark> = places.map(|place| self.mark(place)).collect();
        let ends = |f: fn(f64, f64) -> f64, from: f64| marks.iter().map(|mark| mark.celsius).fold(from, f);
        if marks.is_empty() {
            return None;
        }
        let least_c = ends(f64::min, rule.reference.get()) - MARGIN_C;
        let most_c = ends(f64::max, rule.reference.get()) + MARGIN_C;
        let point = |i: u32| self.point(stage, least_c + (most_c - least_c) * f64::from(i) / f64::from(POINTS));
        Some(Picture { stage, marks, points: (0..=POINTS).map(point).collect() })
    }

    fn point(&self, stage: usize, celsius: f64) -> Point {
        let term = &self.model.stages[stage];
        let (rule, label) = (self.rule(term.rule).0, self.model.rules[term.rule].rule);
        let likely_h = self.after(stage).get() / rule.law.rate(celsius, rule.reference);
        let coefficient = rule.law.coefficient();
        let doubt = self.doubt(stage).sd(coefficient, rule.law.warmth(celsius, rule.reference), 0.0);
        let late = (normal_quantile(0.9) * log_sd(self.spread_factor(stage)).hypot(doubt)).exp();
        Point {
            celsius,
            label_h: term.label.get() / label.law.rate(celsius, label.reference),
            early_h: likely_h / late,
            likely_h,
            late_h: likely_h * late,
        }
    }

    fn mark(&self, place: usize) -> Mark {
        let datum = &self.data[place];
        let (rule, _) = self.rule(datum.rule);
        let celsius = self.mean_c(datum);
        let label = self.model.stages[datum.stage].label.get().ln();
        let exponent = self.exponent().map_or(0.0, |(n, _)| n);
        let beside = datum.offset - label + exponent * datum.strength + rule.law.rate(celsius, rule.reference).ln();
        let hours = |exposure: &Exposure| (exposure.ln_age(rule.law.coefficient()).value - beside).exp();
        let (after_h, by_h) = match &datum.span {
            Span::After(after) => (Some(hours(after)), None),
            Span::By(by) => (None, Some(hours(by))),
            Span::Between { after, by } => (Some(hours(after)), Some(hours(by))),
            Span::At { at, .. } => (Some(hours(at)), Some(hours(at))),
        };
        Mark { celsius, after_h, by_h, trust: self.insight(place).trust }
    }
}

//! What each look says against the fit, and how hard it pulls.

use super::datum::{Datum, Span};
use super::likelihood::{pull, trust};
use super::normal::Between;
use super::shape::spread_of;
use super::shop_fit::ShopFit;

/// One look, held against the fit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Insight {
    /// Standard deviations of ln(time) that it is later than likely: E\[Z | what was seen\], the generalised residual of
    /// censored data (Cox & Snell 1968); 0 where it says nothing against the fit.
    pub residual: f64,
    /// How likely it is no slip, 0 to 1.
    pub trust: f64,
    /// What it moves its stage's time by, ln: to first order that time would be off by so much without it.
    pub pull: f64,
    /// The mean temperature until the last look, °C.
    pub celsius: f64,
}

impl ShopFit {
    /// What the look at `place` of the data says.
    pub fn insight(&self, place: usize) -> Insight {
        let (shape, datum) = (self.model.shape(), &self.data[place]);
        let moved = &self.fit.covariance * pull(shape, datum, self.at());
        Insight {
            residual: self.residual(datum),
            trust: trust(shape, datum, self.at()),
            pull: moved[shape.stage(datum.stage)],
            celsius: self.mean_c(datum),
        }
    }

    pub(super) fn mean_c(&self, datum: &Datum) -> f64 {
        let (rule, _) = self.rule(datum.rule);
        rule.law.celsius_of(datum.span.warmth(), rule.reference)
    }

    fn residual(&self, datum: &Datum) -> f64 {
        let (shape, at) = (self.model.shape(), self.at());
        let exponent = shape.dose().map_or(0.0, |place| at[place]);
        let centre = datum.offset + at[shape.stage(datum.stage)] + exponent * datum.strength;
        let sd = datum.spread_ratio * spread_of(at[shape.spread()]);
        let coefficient = at[shape.rule(datum.rule)];
        let z = |exposure: &super::exposure::Exposure| (exposure.ln_age(coefficient).value - centre) / sd;
        let within = |a: f64, b: f64| {
            let between = Between::of(a, b.max(a + 1e-9));
            -(between.d_a + between.d_b)
        };
        match &datum.span {
            Span::At { at, .. } => z(at),
            Span::After(after) => within(z(after), f64::INFINITY),
            Span::By(by) => within(f64::NEG_INFINITY, z(by)),
            Span::Between { after, by } => within(z(after), z(by)),
        }
    }
}

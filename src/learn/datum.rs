//! One observation as the likelihood takes it.

use super::exposure::Exposure;

/// When a stage was reached, as far as anybody knows, in what the batch had been through by then.
#[derive(Debug, Clone, PartialEq)]
pub enum Span {
    /// Not there yet at a look (right-censored).
    After(Exposure),
    /// Already there at a look (left-censored).
    By(Exposure),
    /// Not there at one look, there at another (interval-censored).
    Between { after: Exposure, by: Exposure },
    /// At this very moment; the likelihood is the density of the time in hours, so `hours` are needed beside the exposure.
    At { at: Exposure, hours: f64 },
}

impl Span {
    /// ln of the hours in the middle of what was seen; of an open end, of the hours at that look.
    pub(super) fn ln_hours(&self) -> f64 {
        match self {
            Span::After(only) | Span::By(only) => only.hours().ln(),
            Span::Between { after, by } => 0.5 * (after.hours().ln() + by.hours().ln()),
            Span::At { hours, .. } => hours.ln(),
        }
    }

    /// The mean warmth until the last look.
    pub(super) fn warmth(&self) -> f64 {
        match self {
            Span::After(last) | Span::By(last) | Span::Between { by: last, .. } | Span::At { at: last, .. } => {
                last.warmth()
            }
        }
    }
}

/// That an entry may be a slip: of the wrong batch, stage or time.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slip {
    /// Before anything else is known of it, 0 to 1.
    pub probability: f64,
    /// ln of how likely this span is when it is one: then it may be anything, which no parameter changes.
    pub ln_likelihood: f64,
}

/// One observation: ln(age) = offset + location of its stage + dose exponent · strength + `spread_ratio` · σ · Z.
#[derive(Debug, Clone, PartialEq)]
pub struct Datum {
    /// Which stage's location it is about, from 0.
    pub stage: usize,
    /// Which temperature rule its stage runs by, from 0.
    pub rule: usize,
    pub span: Span,
    /// `ln(dose_ref / dose)`; 0 where there is no dose.
    pub strength: f64,
    /// What of ln(age in hours) is known beforehand: the label's duration, what the resin's own heat does.
    pub offset: f64,
    /// How this stage's spread stands to the fitted one.
    pub spread_ratio: f64,
    /// `None`: taken as it is.
    pub slip: Option<Slip>,
    /// How many alike.
    pub count: f64,
}

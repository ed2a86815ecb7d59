//! What `nightpour age` finds out: the figures, before they are put into words or JSON.

use crate::cure::{AgeCurve, CureRule, Knot, RateLaw, TemperatureCurve};
use crate::sense::logger_file::{LoggerFile, Origin};
use crate::units::{Celsius, Hours, KjPerMol, Q10};
use crate::when::rfc3339;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};
use serde::Serialize;

/// The cure age asked for, and whether to look beyond the last reading.
#[derive(Debug, Clone, Copy)]
pub(super) struct Wanted {
    pub age: Hours,
    pub hold: bool,
}

/// The rule used, as the JSON keys `rule` and the figure's own.
#[derive(Debug, Clone, Copy, Serialize)]
#[serde(tag = "rule", rename_all = "snake_case")]
pub(super) enum Rule {
    Q10 { q10: Q10 },
    ActivationEnergy { activation_kj: KjPerMol },
}

impl From<RateLaw> for Rule {
    fn from(law: RateLaw) -> Self {
        match law {
            RateLaw::Q10(q10) => Rule::Q10 { q10 },
            RateLaw::Arrhenius(activation_kj) => Rule::ActivationEnergy { activation_kj },
        }
    }
}

/// The answer. Hours are clock hours, on the scale whose 0 is the first reading, unless they are a cure age.
#[derive(Debug, Clone, Serialize)]
pub(super) struct Facts {
    /// From the start to the last reading.
    pub cure_age_h: f64,
    /// Null where it is not asked for, not reached within the readings, or never.
    pub reached_at_h: Option<f64>,
    /// RFC 3339, where the file has dates.
    pub reached_at: Option<String>,
    pub wanted_age_h: Option<Hours>,
    #[serde(flatten)]
    pub rule: Rule,
    pub reference_c: Celsius,
    pub floor_c: Option<Celsius>,
    /// Where the count starts.
    pub from_h: f64,
    /// From the start to the last reading.
    pub hours: f64,
    /// Of these, the hours below the floor, when the clock stood.
    pub standing_h: f64,
    /// Lines of the file.
    pub readings: usize,
    pub min_c: f64,
    pub max_c: f64,
    /// Mean over time, not over the lines.
    pub mean_c: f64,
    pub last_c: f64,
}

impl Facts {
    pub fn new(log: &LoggerFile, rule: CureRule, start_h: f64, wanted: Option<Wanted>, zone: &TimeZone) -> Self {
        let ages = AgeCurve::new(log.curve(), rule, start_h);
        let reached_at_h = wanted.and_then(|wanted| {
            let age = wanted.age.get();
            if wanted.hold { ages.reach(age) } else { ages.reach_within_data(age) }
        });
        // JSON knows no infinity.
        let reached_at_h = reached_at_h.filter(|h| h.is_finite());
        let pieces = pieces(log.curve(), start_h);
        let hours = log.hours() - start_h;
        let start_c = log.curve().at(start_h);
        let ends = || pieces.iter().map(|piece| piece.end_c);
        Self {
            cure_age_h: ages.age_at(log.hours()),
            reached_at_h,
            reached_at: reached_at_h.and_then(|h| moment(log, h)).map(|at| rfc3339(at, zone)),
            wanted_age_h: wanted.map(|wanted| wanted.age),
            rule: rule.law.into(),
            reference_c: rule.reference,
            floor_c: rule.floor,
            from_h: start_h,
            hours,
            standing_h: rule.floor.map_or(0.0, |floor| pieces.iter().map(|p| p.hours_below(floor)).sum()),
            readings: log.readings().len(),
            min_c: ends().fold(start_c, f64::min),
            max_c: ends().fold(start_c, f64::max),
            mean_c: if hours > 0.0 { pieces.iter().map(Piece::degree_hours).sum::<f64>() / hours } else { start_c },
            last_c: log.curve().last().celsius.get(),
        }
    }
}

/// The moment `elapsed_h` after the first reading, where the file has dates and the calendar goes so far.
pub(super) fn moment(log: &LoggerFile, elapsed_h: f64) -> Option<Timestamp> {
    let Origin::Moment(first) = log.origin() else { return None };
    first.checked_add(SignedDuration::try_from_secs_f64(elapsed_h * 3600.0).ok()?).ok()
}

/// A straight piece of the temperature curve.
struct Piece {
    hours: f64,
    start_c: f64,
    end_c: f64,
}

impl Piece {
    fn degree_hours(&self) -> f64 {
        self.hours * f64::midpoint(self.start_c, self.end_c)
    }

    fn hours_below(&self, floor: Celsius) -> f64 {
        let (low, high) = (self.start_c.min(self.end_c), self.start_c.max(self.end_c));
        if low >= floor.get() {
            0.0
        } else if high < floor.get() {
            self.hours
        } else {
            self.hours * (floor.get() - low) / (high - low)
        }
    }
}

fn pieces(curve: &TemperatureCurve, start_h: f64) -> Vec<Piece> {
    let mut here = (start_h, curve.at(start_h));
    let after = curve.knots().iter().filter(|knot| knot.at_h > start_h);
    after
        .map(|&Knot { at_h, celsius }| {
            let piece = Piece { hours: at_h - here.0, start_c: here.1, end_c: celsius.get() };
            here = (at_h, celsius.get());
            piece
        })
        .collect()
}

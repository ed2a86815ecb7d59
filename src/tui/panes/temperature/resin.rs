//! The resin of the layer that runs: what the heat model predicts of it, and what a probe in it has measured.

use super::{AHEAD, BACK, times};
use crate::bench::{HeatPlace, OwnHeat, Reading, WORTH_TELLING_C, heat_words, span_words};
use crate::fit::clipped;
use crate::tui::{panes::View, theme::Role};
use jiff::{SignedDuration, Timestamp};

/// What a probe has shown is worth telling this long.
const HOLDS: SignedDuration = SignedDuration::from_hours(1);
/// Under this it is as good as now.
const FRESH: SignedDuration = SignedDuration::from_mins(10);
/// Measured so much over what was predicted, something is not as the model has it, °C.
const SURPRISE_C: f64 = 5.0;

/// A point of the resin on the chart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Sign {
    Predicted,
    Measured,
}

impl Sign {
    pub fn symbol(self) -> char {
        match self {
            Sign::Predicted => '+',
            Sign::Measured => 'R',
        }
    }

    pub fn role(self) -> Role {
        match self {
            Sign::Predicted => Role::Gel,
            Sign::Measured => Role::Focus,
        }
    }
}

/// The newest layer that runs and whose heat is known.
pub(super) struct Resin<'a> {
    view: View<'a>,
    own: &'a OwnHeat,
    bench_c: f64,
    /// By a probe in the resin, since this layer was mixed.
    measured: Vec<&'a Reading>,
}

impl<'a> Resin<'a> {
    pub fn of(view: View<'a>) -> Option<Self> {
        let layers = || {
            view.bench.running().rev().filter_map(|(batch, forecast)| {
                let forecast = forecast?;
                let own = forecast.own_heat.as_deref().filter(|own| own.place == HeatPlace::Layer)?;
                Some((batch, own, forecast.bench_c))
            })
        };
        // A layer that gets too hot is not lost from sight when another is poured on it.
        let hot = |own: &OwnHeat| own.peak_c > own.limit.get() && own.calm_at().is_some_and(|calm| view.now < calm);
        let (batch, own, bench_c) = layers().find(|(_, own, _)| hot(own)).or_else(|| layers().next())?;
        let measured = view.bench.log().readings().of_resin(batch.started).collect();
        Some(Self { view, own, bench_c, measured })
    }

    /// Whether it has a place on the chart: it was measured, or gets worth telling and is not as warm as the bench again.
    pub fn is_drawn(&self) -> bool {
        let begins = self.view.now - BACK;
        let warm = self.own.peak_c - self.bench_c > WORTH_TELLING_C && self.own.calm_at().is_some_and(|at| at > begins);
        warm || self.measured.last().is_some_and(|reading| reading.at > begins)
    }

    /// Column and °C of each point, measured ones last.
    pub fn points(&self, width: usize) -> Vec<(usize, f64, Sign)> {
        let predicted = times(self.view.now, width).enumerate();
        let predicted = predicted.filter_map(|(column, at)| Some((column, self.own.celsius_at(at)?, Sign::Predicted)));
        let measured = self.measured.iter().filter_map(|reading| {
            let share = reading.at.duration_since(self.view.now - BACK).div_duration_f64(BACK + AHEAD);
            if !(0.0..1.0).contains(&share) {
                return None;
            }
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of the columns")]
            let column = (share * width as f64) as usize;
            Some((column, reading.celsius.get(), Sign::Measured))
        });
        predicted.chain(measured).collect()
    }

    /// What was measured against what is predicted, or the prediction alone, in `width` columns.
    pub fn words(&self, width: usize) -> Option<(String, Role)> {
        let (now, zone) = (self.view.now, self.view.bench.zone());
        let recent = self.measured.last().filter(|reading| now.duration_since(reading.at) < HOLDS);
        let Some(reading) = recent else {
            let (words, too_hot) = heat_words(self.own, self.bench_c, now, zone)?;
            let (sign, role) = if too_hot { ("! ", Role::Warn) } else { ("", Role::Gel) };
            let (long, short) = (format!("{sign}{words} (estimate)"), format!("{sign}{words}"));
            return Some((fitting(long, &short, width), role));
        };
        let (celsius, predicted_c) = (reading.celsius, self.predicted_c(reading.at));
        let age = now.duration_since(reading.at);
        let ago = if age < FRESH { String::new() } else { format!(" {} ago", span_words(age)) };
        let too_hot = celsius > self.own.limit || celsius.get() - predicted_c > SURPRISE_C;
        let (sign, role) = if too_hot { ("! ", Role::Warn) } else { ("", Role::Gel) };
        let long = format!("{sign}resin {celsius:.1} measured{ago}, about {predicted_c:.0} predicted (hottest place)");
        let short = format!("{sign}resin {celsius:.1}{ago}, about {predicted_c:.0} predicted");
        Some((fitting(long, &short, width), role))
    }

    /// The hottest place of the resin, which is as warm as the bench once it is calm.
    fn predicted_c(&self, at: Timestamp) -> f64 {
        let bench_c = || Some(self.view.bench.log().readings().curve(at)?.at(0.0));
        self.own.celsius_at(at).or_else(bench_c).unwrap_or(self.bench_c)
    }
}

/// The long words where `width` columns hold them.
fn fitting(long: String, short: &str, width: usize) -> String {
    if long.chars().count() <= width { long } else { clipped(short, width) }
}

//! What is taken of what a thermometer says: within its limits, no faster than air changes, smoothed as the settings say, and
//! written down only where it tells something new.

use super::sample::Sample;
use crate::settings::{Gate, Smooth};
use crate::text::PlainText;
use crate::units::Celsius;
use jiff::{SignedDuration, Timestamp};

/// A change that was refused as too fast is believed once so many readings in a row agree on it: the thermometer was moved.
const AGREE: u32 = 3;
/// A reading is written down when it differs from the last written one by so much, or after so long.
const WORTH_WRITING_C: f64 = 0.1;
const WORTH_WRITING_PERCENT: f64 = 3.0;
const WRITE_EVERY: SignedDuration = SignedDuration::from_mins(5);

/// What becomes of a sample.
#[derive(Debug, Clone, PartialEq)]
pub enum Verdict {
    /// To be written down.
    Write(Sample),
    /// Taken, and no different from what is written.
    Known,
    /// Not taken, and why.
    Refused(PlainText),
}

/// One source's gate, and what has passed it.
#[derive(Debug, Clone)]
pub struct Gatekeeper {
    gate: Gate,
    /// The last ones taken, the newest last; three at most.
    taken: Vec<(Timestamp, Sample)>,
    written: Option<(Timestamp, Sample)>,
    /// What was refused as too fast, and how often in a row.
    doubted: Option<(Timestamp, f64, u32)>,
}

impl Gatekeeper {
    pub fn new(gate: Gate) -> Self {
        Self { gate, taken: Vec::new(), written: None, doubted: None }
    }

    /// Judges a sample told at `now`.
    pub fn judge(&mut self, sample: Sample, now: Timestamp) -> Verdict {
        let c = sample.celsius.get() + self.gate.add_c;
        let Gate { least_c, most_c, .. } = self.gate;
        let Some(celsius) = Celsius::new(c).ok().filter(|_| (least_c..=most_c).contains(&c)) else {
            return Verdict::Refused(PlainText::new(&format!(
                "{c:.1} °C is outside its limits, {least_c} to {most_c}"
            )));
        };
        if let Some((at, last)) = self.taken.last().copied()
            && self.is_too_fast(last.celsius.get(), at, c, now)
            && !self.is_agreed(c, now)
        {
            let from = last.celsius;
            return Verdict::Refused(PlainText::new(&format!("{from:.1} to {c:.1} °C is faster than air changes")));
        }
        self.doubted = None;
        if self.taken.len() == 3 {
            self.taken.remove(0);
        }
        self.taken.push((now, Sample { celsius, ..sample }));
        let smooth = Sample { celsius: self.smoothed().unwrap_or(celsius), ..sample };
        if !self.is_news(smooth, now) {
            return Verdict::Known;
        }
        self.written = Some((now, smooth));
        Verdict::Write(smooth)
    }

    fn is_too_fast(&self, from_c: f64, from: Timestamp, to_c: f64, to: Timestamp) -> bool {
        // Two readings of one minute may differ by what a minute allows: thermometers step.
        let minutes = (to.duration_since(from).as_secs_f64() / 60.0).abs().max(1.0);
        (to_c - from_c).abs() > self.gate.fastest_c_per_min * minutes
    }

    fn is_agreed(&mut self, c: f64, now: Timestamp) -> bool {
        let before = self.doubted.filter(|(at, doubted_c, _)| !self.is_too_fast(*doubted_c, *at, c, now));
        let times = before.map_or(1, |(.., times)| times + 1);
        self.doubted = Some((now, c, times));
        if times < AGREE {
            return false;
        }
        // What was there before is of another place: it must not pull at the middle.
        self.taken.clear();
        true
    }

    fn smoothed(&self) -> Option<Celsius> {
        match (self.gate.smooth, self.taken.as_slice()) {
            (Smooth::Median3, [a, b, c]) => {
                let mut three = [a.1.celsius.get(), b.1.celsius.get(), c.1.celsius.get()];
                three.sort_by(f64::total_cmp);
                Celsius::new(three[1]).ok()
            }
            _ => None,
        }
    }

    fn is_news(&self, sample: Sample, now: Timestamp) -> bool {
        let Some((at, written)) = &self.written else { return true };
        let damper = match (sample.humidity, written.humidity) {
            (Some(here), Some(there)) => (here.get() - there.get()).abs() >= WORTH_WRITING_PERCENT,
            (here, there) => here.is_some() && there.is_none(),
        };
        // A rounding error away from a tenth of a degree is a tenth of a degree.
        let warmer = (sample.celsius.get() - written.celsius.get()).abs() >= WORTH_WRITING_C - 1e-9;
        warmer || damper || now.duration_since(*at).abs() >= WRITE_EVERY
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(second: i64) -> Timestamp {
        Timestamp::UNIX_EPOCH + SignedDuration::from_secs(second)
    }

    fn sample(c: f64) -> Sample {
        Sample { celsius: Celsius::new(c).unwrap(), humidity: None }
    }

    /// What is written of readings a minute apart.
    fn written(gate: Gate, readings: &[f64]) -> Vec<Option<f64>> {
        let mut keeper = Gatekeeper::new(gate);
        let verdicts = readings.iter().zip(0..).map(|(c, minute)| keeper.judge(sample(*c), at(60 * minute)));
        verdicts.map(|v| if let Verdict::Write(s) = v { Some(s.celsius.get()) } else { None }).collect()
    }

    #[test]
    fn what_lies_is_refused_and_what_hardly_moves_is_not_written() {
        let found = written(Gate::default(), &[20.0, 20.05, 19.9, 99.0, 55.0, 19.9, -40.0, 19.8]);
        assert_eq!(found, [Some(20.0), None, Some(19.9), None, None, None, None, Some(19.8)]);
    }

    #[test]
    fn a_level_that_stays_is_believed_after_three() {
        let found = written(Gate::default(), &[20.0, 31.0, 31.2, 31.1, 31.3]);
        assert_eq!(found, [Some(20.0), None, None, Some(31.1), Some(31.3)]);
        let found = written(Gate::default(), &[20.0, 31.0, 50.0, 31.0, 20.1]);
        assert_eq!(found, [Some(20.0), None, None, None, Some(20.1)], "they do not agree");
    }

    #[test]
    fn five_minutes_are_written_down_whatever_it_shows() {
        let found = written(Gate::default(), &[20.0; 7]);
        assert_eq!(
            found.iter().map(Option::is_some).collect::<Vec<_>>(),
            [true, false, false, false, false, true, false]
        );
    }

    #[test]
    fn the_middle_of_three_and_what_the_thermometer_is_off() {
        let gate = Gate { smooth: Smooth::Median3, add_c: -0.5, ..Gate::default() };
        assert_eq!(written(gate, &[20.0, 22.0, 21.0, 20.9]), [Some(19.5), Some(21.5), Some(20.5), None]);
    }
}

//! The bench temperature as it was measured.

use super::entry::EntryId;
use super::moment::hours_between;
use super::place::Place;
use super::room::{Basis, RoomForecast, Tonight};
use super::tie::later;
use crate::cure::{Knot, Outlook, TemperatureCurve};
use crate::text::PlainText;
use crate::units::{Celsius, Percent};
use jiff::{SignedDuration, Timestamp};
use std::sync::OnceLock;

/// How far back the trend looks.
const TREND_SPAN: SignedDuration = SignedDuration::from_mins(90);
/// A trend over less than this would only show the thermometer's noise.
const TREND_MIN_SPAN_H: f64 = 0.2;

/// What a reading may be off the line between others and leave the heat of a layer as it is, °C.
const MATTERS_C: f64 = 0.05;

/// One bench reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    pub entry: EntryId,
    pub at: Timestamp,
    pub celsius: Celsius,
    pub humidity: Option<Percent>,
    pub source: PlainText,
}

/// Whether readings of this name are of the bench, and drive its clocks.
pub(super) fn measures_bench(source: &PlainText) -> bool {
    Place::of(source) == Place::Bench
}

/// All readings of the bench, in order of time.
#[derive(Debug, Clone, Default)]
pub struct Readings {
    bench: Vec<Reading>,
    elsewhere: Vec<Reading>,
    /// What the forecast is to be made of, each with its entry; the last one counts.
    tonight: Vec<(EntryId, Tonight)>,
    /// Made of them when it is first asked for, and forgotten when they change.
    forecast: OnceLock<RoomForecast>,
}

impl Readings {
    pub(super) fn insert(&mut self, reading: Reading) {
        self.forecast = OnceLock::new();
        let list = if measures_bench(&reading.source) { &mut self.bench } else { &mut self.elsewhere };
        let place = list.partition_point(|r| r.at <= reading.at);
        list.insert(place, reading);
    }

    /// Takes a reading back; says whether it was there.
    pub(super) fn remove(&mut self, entry: EntryId) -> bool {
        if self.contains(entry) {
            self.forecast = OnceLock::new();
            self.tonight.retain(|(told, _)| *told != entry);
        } else {
            return false;
        }
        for list in [&mut self.bench, &mut self.elsewhere] {
            // What is taken back is mostly among the newest.
            if let Some(i) = list.iter().rposition(|r| r.entry == entry) {
                list.remove(i);
                break;
            }
        }
        true
    }

    pub(super) fn contains(&self, entry: EntryId) -> bool {
        self.bench.iter().chain(&self.elsewhere).any(|r| r.entry == entry)
            || self.tonight.iter().any(|(told, _)| *told == entry)
    }

    /// The newest reading of `place`.
    pub fn last_of(&self, place: Place) -> Option<&Reading> {
        match place {
            Place::Bench => self.last(),
            other => self.elsewhere.iter().rfind(|reading| Place::of(&reading.source) == other),
        }
    }

    /// Takes in what the forecast is to be made of.
    pub(super) fn expect(&mut self, entry: EntryId, tonight: Tonight) {
        self.forecast = OnceLock::new();
        self.tonight.push((entry, tonight));
    }

    fn forecast(&self) -> &RoomForecast {
        let usual = Tonight::default();
        let tonight = self.tonight.last().map_or(&usual, |(_, tonight)| tonight);
        self.forecast.get_or_init(|| RoomForecast::of(&self.bench, tonight))
    }

    /// What the hours after the last reading are taken from.
    pub fn basis(&self) -> Basis {
        self.forecast().basis
    }

    /// The clock was set forward by so much, for what was told after the entry `after`.
    pub(super) fn shift(&mut self, by: SignedDuration, after: EntryId) {
        self.forecast = OnceLock::new();
        for (_, tonight) in self.tonight.iter_mut().filter(|(told, _)| *told > after) {
            if let Tonight::Typed { knots } = tonight {
                for knot in knots {
                    knot.at = later(knot.at, by);
                }
            }
        }
        for list in [&mut self.bench, &mut self.elsewhere] {
            for reading in list.iter_mut().filter(|reading| reading.entry > after) {
                reading.at = later(reading.at, by);
            }
            // Only some of them have moved.
            list.sort_by_key(|reading| reading.at);
        }
    }

    /// The newest bench reading.
    pub fn last(&self) -> Option<&Reading> {
        self.bench.last()
    }

    /// What was measured in the resin from `from` on.
    pub fn of_resin(&self, from: Timestamp) -> impl DoubleEndedIterator<Item = &Reading> {
        let first = self.elsewhere.partition_point(|r| r.at < from);
        self.elsewhere[first..].iter().filter(|r| Place::of(&r.source) == Place::Resin)
    }

    /// Bench readings from `from` on, with the one before it.
    pub fn since(&self, from: Timestamp) -> &[Reading] {
        let first_after = self.bench.partition_point(|r| r.at <= from);
        &self.bench[first_after.saturating_sub(1)..]
    }

    /// The temperature curve in hours from `start`, measured and then forecast; `None` when the bench was never measured.
    pub fn curve(&self, start: Timestamp) -> Option<TemperatureCurve> {
        let ahead = self.last().into_iter().flat_map(|last| self.forecast().knots(start, last));
        Self::curve_of(self.since(start), ahead, start)
    }

    /// The same with the readings up to the first one after `until` only.
    pub fn curve_until(&self, start: Timestamp, until: Timestamp) -> Option<TemperatureCurve> {
        let since = self.since(start);
        let within = since.partition_point(|reading| reading.at <= until);
        Self::curve_of(&since[..since.len().min(within + 1)], std::iter::empty(), start)
    }

    fn curve_of(readings: &[Reading], ahead: impl Iterator<Item = Knot>, start: Timestamp) -> Option<TemperatureCurve> {
        let mut knots: Vec<Knot> = Vec::new();
        let measured = readings.iter().map(|r| Knot { at_h: hours_between(start, r.at), celsius: r.celsius });
        for knot in measured.chain(ahead) {
            match knots.last_mut() {
                // Two readings of the same moment: the one written later corrects the other.
                Some(last) if last.at_h >= knot.at_h => *last = knot,
                _ => knots.push(knot),
            }
        }
        TemperatureCurve::new(knots).ok()
    }

    /// The same with only as many readings as matter to resin that heats itself.
    pub(super) fn curve_for_heat(&self, start: Timestamp) -> Option<TemperatureCurve> {
        Some(self.curve(start)?.thinned(MATTERS_C))
    }

    /// How well the temperature is known, in hours from `start`.
    pub fn outlook(&self, start: Timestamp, now: Timestamp) -> Outlook {
        Outlook {
            measured_until_h: self.last().map(|r| hours_between(start, r.at)),
            now_h: hours_between(start, now),
            spread: self.forecast().spread.clone(),
        }
    }

    /// Slope of the last hour and a half of readings, °C per hour, by least squares; `None` with too few of them.
    pub fn trend_c_per_h(&self) -> Option<f64> {
        let last = self.last()?;
        let recent = &self.bench[self.bench.partition_point(|r| last.at.duration_since(r.at) > TREND_SPAN)..];
        let points: Vec<(f64, f64)> = recent.iter().map(|r| (hours_between(last.at, r.at), r.celsius.get())).collect();
        let span = -points.first()?.0;
        if span < TREND_MIN_SPAN_H {
            return None;
        }
        let n = points.len() as f64;
        let (mean_t, mean_c) =
            (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
        let covariance: f64 = points.iter().map(|p| (p.0 - mean_t) * (p.1 - mean_c)).sum();
        let variance: f64 = points.iter().map(|p| (p.0 - mean_t).powi(2)).sum();
        (variance > 0.0).then(|| covariance / variance)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn reading(entry: i64, minute: i64, celsius: f64, source: &str) -> Reading {
        Reading {
            entry: EntryId(entry),
            at: Timestamp::UNIX_EPOCH + SignedDuration::from_mins(minute),
            celsius: Celsius::new(celsius).unwrap(),
            humidity: None,
            source: PlainText::new(source),
        }
    }

    #[test]
    fn back_dated_readings_find_their_place() {
        let mut readings = Readings::default();
        readings.insert(reading(1, 60, 18.0, "bench"));
        readings.insert(reading(2, 0, 20.0, "bench"));
        let curve = readings.curve(Timestamp::UNIX_EPOCH).unwrap();
        assert!((curve.at(0.5) - 19.0).abs() < 1e-12);
        assert!((readings.trend_c_per_h().unwrap() + 2.0).abs() < 1e-9);
    }

    #[test]
    fn a_second_reading_of_the_same_moment_corrects_the_first() {
        let mut readings = Readings::default();
        readings.insert(reading(1, 0, 81.0, "bench"));
        readings.insert(reading(2, 0, 18.0, "bench"));
        assert!((readings.curve(Timestamp::UNIX_EPOCH).unwrap().at(0.0) - 18.0).abs() < 1e-12);
    }

    #[test]
    fn a_reading_at_the_beginning_of_time_has_no_trend() {
        let mut readings = Readings::default();
        readings.insert(Reading { at: Timestamp::MIN, ..reading(1, 0, 20.0, "bench") });
        assert_eq!(readings.trend_c_per_h(), None);
    }

    #[test]
    fn a_resin_probe_does_not_drive_the_clocks() {
        let mut readings = Readings::default();
        readings.insert(reading(1, 0, 64.0, "resin"));
        assert!(readings.curve(Timestamp::UNIX_EPOCH).is_none());
        readings.insert(reading(2, 1, 64.0, "Resin"));
        assert!(readings.last().is_none());
        assert!(readings.remove(EntryId(1)) && !readings.contains(EntryId(1)));
    }
}

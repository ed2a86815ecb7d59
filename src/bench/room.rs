//! The bench's temperature in the hours ahead, and what that is worth: from the room's own past nights, from what somebody
//! typed, or the last reading held.

use super::moment::hours_between;
use super::readings::Reading;
use super::tie::later;
use crate::cure::{Knot, RoomSpread};
use crate::units::Celsius;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Past days looked back on.
const DAYS: i64 = 14;
/// Steps of the forecast, and how far it goes before the day repeats, h.
const STEP_H: f64 = 0.5;
const STEPS: usize = 48;
/// The day is repeated so often; after that the last value holds.
const REPEATS: usize = 3;
/// A past moment is known where readings on both sides of it are no further apart, h.
const GAP_H: f64 = 2.0;
/// What is known of one night's course before any was seen counts as much as so many nights (own working value).
const PRIOR_NIGHTS: f64 = 2.0;

/// What the user wants the forecast to be made of.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(tag = "by", rename_all = "kebab-case")]
pub enum Tonight {
    /// The room's own past nights, as far as there are any.
    #[default]
    PastNights,
    /// The last reading, held.
    Held,
    /// Joined by straight lines; the last one holds.
    Typed { knots: Vec<TypedKnot> },
}

#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TypedKnot {
    pub at: Timestamp,
    pub celsius: Celsius,
}

/// What the forecast was made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Basis {
    Held,
    Typed,
    /// So many past nights.
    PastNights(u32),
}

/// The hours after the last reading.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct RoomForecast {
    pub basis: Basis,
    /// Hours after the last reading, rising, and the temperature then; empty where it is held.
    pub steps: Vec<(f64, Celsius)>,
    pub spread: RoomSpread,
}

impl RoomForecast {
    fn held() -> Self {
        Self { basis: Basis::Held, steps: Vec::new(), spread: RoomSpread::Unwatched }
    }

    /// The forecast after the last of `readings`, which are in order of time.
    pub fn of(readings: &[Reading], tonight: &Tonight) -> Self {
        let Some(last) = readings.last() else { return Self::held() };
        match tonight {
            Tonight::Held => Self::held(),
            Tonight::Typed { knots } => typed(last, knots).unwrap_or_else(|| past_nights(readings, last)),
            Tonight::PastNights => past_nights(readings, last),
        }
    }

    /// Its points in hours from `start`.
    pub fn knots(&self, start: Timestamp, last: &Reading) -> impl Iterator<Item = Knot> {
        let from_h = hours_between(start, last.at);
        self.steps.iter().map(move |(ahead_h, celsius)| Knot { at_h: from_h + ahead_h, celsius: *celsius })
    }
}

/// What was typed, while some of it is still to come.
fn typed(last: &Reading, knots: &[TypedKnot]) -> Option<RoomForecast> {
    let mut steps: Vec<(f64, Celsius)> = Vec::new();
    for knot in knots {
        let ahead_h = hours_between(last.at, knot.at);
        if ahead_h > steps.last().map_or(0.0, |(before_h, _)| *before_h) {
            steps.push((ahead_h, knot.celsius));
        }
    }
    let foretold = RoomForecast { basis: Basis::Typed, steps, spread: RoomSpread::FORETOLD };
    (!foretold.steps.is_empty()).then_some(foretold)
}

/// What one past day showed: the temperature so many steps after the present time of day, less that at this time of day.
struct Day {
    changes: Vec<f64>,
    /// The mean of them up to each step.
    means: Vec<f64>,
}

/// The course of the past days from the present time of day on, laid on the present temperature.
fn past_nights(readings: &[Reading], last: &Reading) -> RoomForecast {
    let days: Vec<Day> = (1..=DAYS).filter_map(|day| past_day(readings, last.at, day)).collect();
    if days.is_empty() {
        return RoomForecast::held();
    }
    let now_c = last.celsius.get();
    let mut day = Vec::with_capacity(STEPS);
    let mut mean_sd = vec![(0.0, 0.0)];
    let (mut last_change, mut last_variance) = (0.0, 0.0);
    for step in 0..STEPS {
        let ahead_h = STEP_H * (step + 1) as f64;
        let of = |course: fn(&Day) -> &Vec<f64>| days.iter().filter_map(move |day| course(day).get(step)).copied();
        let changes = expected(of(|day| &day.changes), RoomSpread::point_variance(ahead_h));
        let means = expected(of(|day| &day.means), RoomSpread::mean_variance(ahead_h));
        match (changes, means) {
            (Some((change, _)), Some((_, variance))) => (last_change, last_variance) = (change, variance),
            // No night is known so far: it stays where it was, and nobody watches it.
            _ => last_variance += RoomSpread::mean_variance(ahead_h) - RoomSpread::mean_variance(ahead_h - STEP_H),
        }
        day.push((ahead_h, last_change));
        mean_sd.push((ahead_h, last_variance.sqrt()));
    }
    let whole_h = STEP_H * STEPS as f64;
    let steps = (0..REPEATS).flat_map(|round| {
        let later_h = whole_h * round as f64;
        day.iter().map(move |(ahead_h, change)| (later_h + ahead_h, *change))
    });
    let steps = steps.filter_map(|(ahead_h, change)| Some((ahead_h, Celsius::new(now_c + change).ok()?))).collect();
    // Of fourteen days at most.
    let nights = u32::try_from(days.len()).unwrap_or(0);
    RoomForecast { basis: Basis::PastNights(nights), steps, spread: RoomSpread::Known(Arc::from(mean_sd)) }
}

/// The expected change and the variance of the next night's, from those of past nights and what is known of any room:
/// nothing moves on the average, with variance `prior`; `None` without nights.
///
/// The nights are taken as normal about a mean of their own, which is normal about 0 with variance `prior`; how much they
/// differ from each other begins as a quarter of that, worth [`PRIOR_NIGHTS`] nights. A textbook's posterior of a normal mean.
fn expected(nights: impl Iterator<Item = f64>, prior: f64) -> Option<(f64, f64)> {
    let nights: Vec<f64> = nights.collect();
    let n = nights.len() as f64;
    if nights.is_empty() {
        return None;
    }
    let mean = nights.iter().sum::<f64>() / n;
    let squares: f64 = nights.iter().map(|night| (night - mean).powi(2)).sum();
    let between = (PRIOR_NIGHTS * prior / 4.0 + squares) / (PRIOR_NIGHTS + n - 1.0);
    let weight = n * prior / (n * prior + between);
    Some((weight * mean, between + prior * (1.0 - weight)))
}

fn past_day(readings: &[Reading], last: Timestamp, days_ago: i64) -> Option<Day> {
    let start = last.checked_sub(SignedDuration::from_hours(24 * days_ago)).ok()?;
    let start_c = known_at(readings, start)?;
    let mut day = Day { changes: Vec::new(), means: Vec::new() };
    let mut area = 0.0;
    let mut before = 0.0;
    for step in 0..STEPS {
        let at = later(start, SignedDuration::from_secs_f64(STEP_H * 3600.0 * (step + 1) as f64));
        // The present itself is no part of the past.
        let Some(change) = known_at(readings, at).map(|c| c - start_c).filter(|_| at < last) else { break };
        area += f64::midpoint(before, change) * STEP_H;
        before = change;
        day.changes.push(change);
        day.means.push(area / (STEP_H * (step + 1) as f64));
    }
    (!day.changes.is_empty()).then_some(day)
}

/// The temperature at a past moment, where readings near enough on both sides tell it.
fn known_at(readings: &[Reading], at: Timestamp) -> Option<f64> {
    let after = readings.partition_point(|reading| reading.at <= at);
    let (before, after) = (readings.get(after.checked_sub(1)?)?, readings.get(after)?);
    let gap_h = hours_between(before.at, after.at);
    if gap_h > GAP_H || gap_h <= 0.0 {
        return None;
    }
    let share = hours_between(before.at, at) / gap_h;
    Some(before.celsius.get() + share * (after.celsius.get() - before.celsius.get()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::EntryId;
    use crate::text::PlainText;
    use std::f64::consts::TAU;

    fn at(hour: f64) -> Timestamp {
        Timestamp::UNIX_EPOCH + SignedDuration::from_secs_f64(hour * 3600.0)
    }

    fn reading(hour: f64, c: f64) -> Reading {
        Reading {
            entry: EntryId(1),
            at: at(hour),
            celsius: Celsius::new(c).unwrap(),
            humidity: None,
            source: PlainText::new("bench"),
        }
    }

    /// A room that swings by 3 °C about `mean_c` each day, read every half hour from `from_h` to `to_h`. Invented.
    fn room(from_h: i32, to_h: i32, mean_c: impl Fn(f64) -> f64) -> Vec<Reading> {
        let halves = (2 * from_h)..=(2 * to_h);
        let hours = halves.map(|half| f64::from(half) / 2.0);
        hours.map(|h| reading(h, mean_c(h) + 3.0 * (TAU * (h - 15.0) / 24.0).cos())).collect()
    }

    fn told_at(forecast: &RoomForecast, ahead_h: f64) -> f64 {
        forecast.steps.iter().find(|(h, _)| (h - ahead_h).abs() < 1e-9).unwrap().1.get()
    }

    #[test]
    fn a_room_that_does_the_same_every_night_is_foretold() {
        let readings = room(0, 24 * 8 + 21, |_| 18.0);
        let forecast = RoomForecast::of(&readings, &Tonight::PastNights);
        assert_eq!(forecast.basis, Basis::PastNights(8));
        for ahead in [3.0, 6.0, 9.0, 20.0] {
            let true_c = 18.0 + 3.0 * (TAU * (21.0 + ahead - 15.0) / 24.0).cos();
            assert!((told_at(&forecast, ahead) - true_c).abs() < 0.4, "{ahead}: {}", told_at(&forecast, ahead));
        }
        assert!((told_at(&forecast, 24.0 + 6.0) - told_at(&forecast, 6.0)).abs() < 1e-9, "the next day is like it");
        // Eight like nights are worth more than none: held, the mean of nine hours is off by 1.4 °C or so.
        assert!(forecast.spread.mean_sd_c(9.0) < 0.6 * RoomSpread::Unwatched.mean_sd_c(9.0));
    }

    #[test]
    fn tonight_is_laid_on_the_present_temperature() {
        // Five degrees colder than all the nights before.
        let mut readings = room(0, 24 * 5 + 20, |_| 18.0);
        let last = readings.pop().unwrap();
        readings.push(Reading { celsius: Celsius::new(last.celsius.get() - 5.0).unwrap(), ..last });
        let cold = RoomForecast::of(&readings, &Tonight::PastNights);
        let usual = RoomForecast::of(&room(0, 24 * 5 + 20, |_| 18.0), &Tonight::PastNights);
        assert!((told_at(&cold, 8.0) + 5.0 - told_at(&usual, 8.0)).abs() < 0.2);
    }

    #[test]
    fn without_past_nights_the_last_reading_holds() {
        let evening = room(18, 21, |_| 18.0);
        assert_eq!(RoomForecast::of(&evening, &Tonight::PastNights), RoomForecast::held());
        assert_eq!(RoomForecast::of(&[], &Tonight::PastNights).basis, Basis::Held);
        let nights = room(0, 24 * 3, |_| 18.0);
        assert_eq!(RoomForecast::of(&nights, &Tonight::Held), RoomForecast::held());
        let gaps: Vec<Reading> = (0..10).map(|day| reading(f64::from(day) * 8.0, 18.0)).collect();
        assert_eq!(RoomForecast::of(&gaps, &Tonight::PastNights).basis, Basis::Held, "eight hours apart tell nothing");
    }

    #[test]
    fn where_past_nights_end_the_temperature_stays() {
        // Three evenings, each read until 23:00 only.
        let evenings: Vec<Reading> = (0..3)
            .flat_map(|day| room(24 * day + 18, 24 * day + 23, |_| 18.0))
            .chain(room(24 * 3 + 18, 24 * 3 + 20, |_| 18.0))
            .collect();
        let forecast = RoomForecast::of(&evenings, &Tonight::PastNights);
        let (known, after) = (told_at(&forecast, 3.0), told_at(&forecast, 8.0));
        assert!(
            known < evenings.last().unwrap().celsius.get() - 0.8 && (known - after).abs() < 1e-9,
            "{known} {after}"
        );
        assert!(forecast.spread.mean_sd_c(8.0) > forecast.spread.mean_sd_c(3.0));
    }

    #[test]
    fn what_was_typed_holds_until_it_is_over() {
        let knot = |hour, c| TypedKnot { at: at(hour), celsius: Celsius::new(c).unwrap() };
        let tonight = Tonight::Typed { knots: vec![knot(20.0, 30.0), knot(23.0, 17.0), knot(29.0, 14.0)] };
        let evening = room(18, 21, |_| 18.0);
        let forecast = RoomForecast::of(&evening, &tonight);
        assert_eq!(forecast.basis, Basis::Typed);
        assert_eq!(forecast.steps.iter().map(|(h, c)| (*h, c.get())).collect::<Vec<_>>(), [(2.0, 17.0), (8.0, 14.0)]);
        assert!(forecast.spread.mean_sd_c(8.0) < RoomSpread::Unwatched.mean_sd_c(8.0));
        let morning = room(18, 30, |_| 18.0);
        assert_eq!(RoomForecast::of(&morning, &tonight).basis, Basis::Held);
    }

    #[test]
    fn nights_that_differ_are_worth_less_than_nights_that_agree() {
        let alike = expected([-3.0, -3.0, -3.0, -3.0].into_iter(), 4.0).unwrap();
        let differing = expected([-6.0, 0.0, -5.0, -1.0].into_iter(), 4.0).unwrap();
        assert!(alike.1 < differing.1 && alike.0 < differing.0 && differing.0 < 0.0, "{alike:?} {differing:?}");
        let one = expected([-3.0].into_iter(), 4.0).unwrap();
        assert!(one.0 > alike.0 && one.1 > alike.1 && one.1 < 4.0);
    }
}

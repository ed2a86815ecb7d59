//! What stands mixed in its cup: when it gels, how hot it gets, when it is too hot to hold.
//!
//! The cup is one lump: m c dT/dt = m H dα/dt − loss(T). With the cure age θ instead of the time as the running variable
//! (dθ = r(T) dt) the reaction does not run away from the steps: what a hot cup does in seconds is as many hours of age as
//! what a cool one does in hours.

use super::cubic::Cubic;
use super::kinetics::{Reaction, Resin};
use super::surroundings::{Face, Surroundings};
use crate::cure::{CureRule, TemperatureCurve};
use crate::root::rising_root;
use std::f64::consts::PI;

/// Hotter than this a cup is not held in a hand, °C. Common practice; skin burns at 51 °C within a minute of contact
/// (ISO 13732-1, from memory).
pub const TOO_HOT_TO_HOLD_C: f64 = 50.0;

/// A cup is followed until this share has reacted.
const END: f64 = 0.999;
/// In at least this many steps.
const STEPS: u32 = 160;
/// No step is longer than this share of the time in which the cup cools.
const OF_COOLING: f64 = 0.5;
const MOST_STEPS: u32 = 4000;
/// Once nothing reacts any more a step is this share of the time in which the cup cools.
const COOLING_STEP: f64 = 0.2;
const MOST_COOLING: u32 = 200;
/// This near to the room it counts as being as warm, °C.
const AS_WARM_C: f64 = 0.1;

/// A round cup as deep as it is wide, filled with this much.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cup {
    pub mass_g: f64,
}

/// One moment of a cup.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Moment {
    pub age_s: f64,
    pub at_s: f64,
    pub celsius: f64,
    pub conversion: f64,
    /// By the age.
    slope: Slope,
}

#[derive(Debug, Clone, Copy, PartialEq)]
struct Slope {
    at: f64,
    celsius: f64,
    conversion: f64,
}

/// What happens in it, hours from first contact; `None` where it does not happen.
#[derive(Debug, Clone, PartialEq)]
pub struct CupCourse {
    pub gel_h: Option<f64>,
    pub peak_c: f64,
    pub peak_h: f64,
    pub too_hot_to_hold_h: Option<f64>,
    moments: Vec<Moment>,
}

/// The lump as the equations see it.
struct Lump<'a> {
    reaction: Reaction,
    /// What all of it reacting at once would heat it by, °C.
    rise_c: f64,
    /// Heat capacity over area, J/m²K.
    capacity_j_per_m2k: f64,
    /// From the middle to the outside, m²K/W.
    inside_m2k_per_w: f64,
    outside: Face,
    bench: &'a TemperatureCurve,
    start_h: f64,
}

impl Cup {
    /// Follows the cup from first contact at `at_h` on the axis of `bench`, all of it at the bench's temperature; gelled at
    /// `gel_conversion`.
    pub fn course(self, resin: &Resin, gel_conversion: f64, bench: &TemperatureCurve, at_h: f64) -> CupCourse {
        let lump = self.lump(resin, bench, at_h);
        let mut moments = lump.follow(resin, |_| false);
        lump.cool(&mut moments);
        let hottest = hottest(&moments);
        let hours = |seconds: f64| seconds / 3600.0;
        CupCourse {
            gel_h: first(&moments, |m| (m.conversion, m.slope.conversion), gel_conversion).map(hours),
            peak_c: hottest.0,
            peak_h: hours(hottest.1),
            too_hot_to_hold_h: first(&moments, |m| (m.celsius, m.slope.celsius), TOO_HOT_TO_HOLD_C).map(hours),
            moments,
        }
    }

    /// The same as far as gel and peak go, for who tries many resins: hours to the gel, °C, hours to the peak.
    pub(super) fn gel_and_peak(self, resin: &Resin, gel_conversion: f64, bench: &TemperatureCurve) -> [f64; 3] {
        let past = |m: &Moment| m.slope.celsius < 0.0 && m.conversion > gel_conversion;
        let moments = self.lump(resin, bench, 0.0).follow(resin, past);
        let gel_s = first(&moments, |m| (m.conversion, m.slope.conversion), gel_conversion);
        let (peak_c, peak_s) = hottest(&moments);
        [gel_s.map_or(f64::INFINITY, |s| s / 3600.0), peak_c, peak_s / 3600.0]
    }

    fn lump<'a>(self, resin: &Resin, bench: &'a TemperatureCurve, start_h: f64) -> Lump<'a> {
        let mass_kg = self.mass_g / 1000.0;
        let volume_m3 = mass_kg / resin.density_kg_per_m3;
        // As deep as wide: volume π d³/4, surface 3π d²/2 with top and bottom.
        let width_m = (4.0 * volume_m3 / PI).cbrt();
        let area_m2 = 1.5 * PI * width_m * width_m;
        Lump {
            reaction: Reaction::new(&resin.kinetics),
            rise_c: resin.kinetics.heat_j_per_kg / resin.specific_heat_j_per_kgk,
            capacity_j_per_m2k: mass_kg * resin.specific_heat_j_per_kgk / area_m2,
            // The mean of a round body with an even source is q r²/8k over its edge, which passes q r/2: r/4k.
            inside_m2k_per_w: width_m / 8.0 / resin.conductivity_w_per_mk,
            outside: Surroundings::ON_THE_BENCH.side,
            bench,
            start_h,
        }
    }
}

impl CupCourse {
    /// Temperature over time for a picture: hours from first contact, °C.
    pub fn trace(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.moments.iter().map(|m| (m.at_s / 3600.0, m.celsius))
    }

    /// The hours of age by `rule` that the resin in the cup has gained `after_h` hours.
    pub(super) fn age_h(&self, rule: &CureRule, after_h: f64) -> f64 {
        let mut age_h = 0.0;
        for [from, to] in self.moments.array_windows() {
            let (from_h, to_h) = (from.at_s / 3600.0, to.at_s / 3600.0);
            if after_h <= from_h {
                return age_h;
            }
            let share = ((after_h - from_h) / (to_h - from_h)).min(1.0);
            let end_c = from.celsius + share * (to.celsius - from.celsius);
            age_h += share * (to_h - from_h) * f64::midpoint(rule.rate(from.celsius), rule.rate(end_c));
        }
        let last = self.moments[self.moments.len() - 1];
        age_h + (after_h - last.at_s / 3600.0).max(0.0) * rule.rate(last.celsius)
    }

    /// The hours after which the resin in the cup has gained `age_h` by `rule`; `None` where it never does.
    pub(super) fn reach_h(&self, rule: &CureRule, age_h: f64) -> Option<f64> {
        let last_h = self.moments[self.moments.len() - 1].at_s / 3600.0;
        let within = self.age_h(rule, last_h);
        if within >= age_h {
            return Some(rising_root(0.0, last_h, 1e-9, |h| self.age_h(rule, h) - age_h));
        }
        let rate = rule.rate(self.moments[self.moments.len() - 1].celsius);
        (rate > 0.0).then(|| last_h + (age_h - within) / rate)
    }
}

impl Lump<'_> {
    /// Goes on from the last of `moments` until the cup is as warm as the room: nothing reacts any more, and the heat goes
    /// exponentially, its coefficient taken anew at every step.
    fn cool(&self, moments: &mut Vec<Moment>) {
        for _ in 0..MOST_COOLING {
            let from = moments[moments.len() - 1];
            let (age_s, at_s) = (from.age_s, from.at_s + self.cooling_s(from.celsius, from.at_s) * COOLING_STEP);
            let bench_c = self.bench_c(at_s);
            if (from.celsius - bench_c).abs() < AS_WARM_C {
                return;
            }
            let celsius = bench_c + (from.celsius - bench_c) * (-COOLING_STEP).exp();
            let slope = Slope { at: 0.0, celsius: 0.0, conversion: 0.0 };
            moments.push(Moment { age_s, at_s, celsius, conversion: from.conversion, slope });
        }
    }

    /// The time in which the cup loses all but 1/e of its warmth, s.
    fn cooling_s(&self, celsius: f64, at_s: f64) -> f64 {
        let outside = self.outside.coefficient(celsius, self.bench_c(at_s));
        self.capacity_j_per_m2k * (self.inside_m2k_per_w + 1.0 / outside)
    }

    fn bench_c(&self, at_s: f64) -> f64 {
        self.bench.at(self.start_h + at_s / 3600.0)
    }

    fn slope(&self, at_s: f64, celsius: f64, conversion: f64) -> Slope {
        let speed = self.reaction.speed(celsius);
        let turnover = self.reaction.by_age(conversion, celsius);
        let bench_c = self.bench_c(at_s);
        let outward = 1.0 / (self.inside_m2k_per_w + 1.0 / self.outside.coefficient(celsius, bench_c));
        let cooling = outward * (celsius - bench_c) / self.capacity_j_per_m2k;
        Slope { at: 1.0 / speed, celsius: self.rise_c * turnover - cooling / speed, conversion: turnover }
    }

    /// Classic fourth-order Runge-Kutta along the age, until `enough` says so or nearly all has reacted.
    fn follow(&self, resin: &Resin, enough: impl Fn(&Moment) -> bool) -> Vec<Moment> {
        let start_c = self.bench_c(0.0);
        let end_s = resin.kinetics.age_s(END);
        let mut here =
            Moment { age_s: 0.0, at_s: 0.0, celsius: start_c, conversion: 0.0, slope: self.slope(0.0, start_c, 0.0) };
        let mut moments = vec![here];
        if !end_s.is_finite() {
            return moments;
        }
        // Coolest it is slowest, and a step of age takes longest: there the loss must not outrun the step.
        let cooling_s = self.cooling_s(start_c, 0.0);
        let whole_s = end_s * here.slope.at;
        let steps = (whole_s / (OF_COOLING * cooling_s)).clamp(f64::from(STEPS), f64::from(MOST_STEPS)).ceil();
        let step = end_s / steps;
        while here.age_s < end_s - 0.5 * step && !enough(&here) {
            let along = |slope: Slope, share: f64| {
                let by = share * step;
                self.slope(
                    here.at_s + by * slope.at,
                    here.celsius + by * slope.celsius,
                    here.conversion + by * slope.conversion,
                )
            };
            let first = here.slope;
            let second = along(first, 0.5);
            let third = along(second, 0.5);
            let fourth = along(third, 1.0);
            let sum =
                |get: fn(&Slope) -> f64| step / 6.0 * (get(&first) + 2.0 * (get(&second) + get(&third)) + get(&fourth));
            let at_s = here.at_s + sum(|s| s.at);
            let celsius = here.celsius + sum(|s| s.celsius);
            let conversion = here.conversion + sum(|s| s.conversion);
            let slope = self.slope(at_s, celsius, conversion);
            here = Moment { age_s: here.age_s + step, at_s, celsius, conversion, slope };
            moments.push(here);
        }
        moments
    }
}

/// The time of a place between two moments, s.
fn at_s(from: &Moment, to: &Moment, share: f64) -> f64 {
    between(from, to, |m| (m.at_s, m.slope.at)).at(share)
}

/// A value with its slope by the age, between two moments.
fn between(from: &Moment, to: &Moment, value: impl Fn(&Moment) -> (f64, f64)) -> Cubic {
    let way = to.age_s - from.age_s;
    let (low, high) = (value(from), value(to));
    Cubic::new([low.0, high.0], [low.1 * way, high.1 * way])
}

/// When `value` first passes `limit`, s.
fn first(moments: &[Moment], value: fn(&Moment) -> (f64, f64), limit: f64) -> Option<f64> {
    moments.array_windows().find_map(|[from, to]| {
        if value(from).0 >= limit || value(to).0 < limit {
            return None;
        }
        let cubic = between(from, to, value);
        Some(at_s(from, to, rising_root(0.0, 1.0, 1e-12, |share| cubic.at(share) - limit)))
    })
}

/// The highest temperature, and when, s.
fn hottest(moments: &[Moment]) -> (f64, f64) {
    let turn = moments.array_windows().filter_map(|[from, to]| {
        let cubic = between(from, to, |m| (m.celsius, m.slope.celsius));
        cubic.top().map(|share| (cubic.at(share), at_s(from, to, share)))
    });
    // A large cup is still getting hotter when nearly all has reacted, and cools from there.
    let known = moments.iter().map(|m| (m.celsius, m.at_s));
    let coolest = (f64::NEG_INFINITY, 0.0);
    turn.chain(known).fold(coolest, |best, other| if other.0 > best.0 { other } else { best })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cure::RateLaw;
    use crate::heat::testing::{self, celsius};
    use crate::units::Q10;

    fn resin(heat_j_per_kg: f64) -> Resin {
        testing::resin(5e-4, heat_j_per_kg)
    }

    fn course(mass_g: f64, heat_j_per_kg: f64) -> CupCourse {
        Cup { mass_g }.course(&resin(heat_j_per_kg), 0.5, &TemperatureCurve::constant(celsius(25.0)), 0.0)
    }

    #[test]
    fn without_heat_it_is_the_closed_form() {
        let cool = course(100.0, 0.0);
        let gel_h = resin(0.0).kinetics.age_s(0.5) / 3600.0;
        assert!((cool.gel_h.unwrap() / gel_h - 1.0).abs() < 1e-6, "{cool:?}");
        assert!((cool.peak_c - 25.0).abs() < 1e-9 && cool.too_hot_to_hold_h.is_none());
    }

    #[test]
    fn a_larger_cup_gels_sooner_and_gets_hotter_but_never_more_than_its_heat() {
        let [small, usual, bucket] = [10.0, 100.0, 5000.0].map(|mass_g| course(mass_g, 250e3));
        assert!(small.gel_h > usual.gel_h && usual.gel_h > bucket.gel_h);
        assert!(small.peak_c < usual.peak_c && usual.peak_c < bucket.peak_c);
        let adiabatic = 25.0 + 250e3 / 1700.0;
        assert!(bucket.peak_c < adiabatic && bucket.peak_c > 0.9 * adiabatic, "{}", bucket.peak_c);
        let hot_h = usual.too_hot_to_hold_h.unwrap();
        assert!(hot_h < usual.peak_h);
        let (_, at_50) = usual.trace().min_by(|a, b| (a.0 - hot_h).abs().total_cmp(&(b.0 - hot_h).abs())).unwrap();
        assert!((at_50 - TOO_HOT_TO_HOLD_C).abs() < 5.0);
    }

    #[test]
    fn it_cools_to_the_room_again_and_its_age_goes_on() {
        let cup = course(100.0, 250e3);
        let (end_h, end_c) = cup.trace().last().unwrap();
        assert!((end_c - 25.0).abs() < 0.2);
        let rule = CureRule { law: RateLaw::Q10(Q10::new(2.0).unwrap()), reference: celsius(25.0), floor: None };
        let more = cup.age_h(&rule, end_h + 10.0) - cup.age_h(&rule, end_h);
        assert!((more - 10.0).abs() < 0.1, "an hour in the room is an hour of age: {more}");
        for hours in [0.3, 1.0, 2.0, end_h + 3.0] {
            let back = cup.reach_h(&rule, cup.age_h(&rule, hours)).unwrap();
            assert!((back - hours).abs() < 1e-6, "{back} {hours}");
        }
    }

    #[test]
    fn energy_is_kept_along_the_age() {
        // A cup that loses nothing ends where its heat brings it.
        let lump = Lump {
            reaction: Reaction::new(&resin(250e3).kinetics),
            rise_c: 250e3 / 1700.0,
            capacity_j_per_m2k: 1e4,
            inside_m2k_per_w: 1e12,
            outside: Surroundings::ON_THE_BENCH.side,
            bench: &TemperatureCurve::constant(celsius(25.0)),
            start_h: 0.0,
        };
        let end = *lump.follow(&resin(250e3), |_| false).last().unwrap();
        assert!((end.celsius - 25.0 - end.conversion * 250e3 / 1700.0).abs() < 1e-4, "{end:?}");
        assert!((end.conversion - END).abs() < 1e-5);
    }
}

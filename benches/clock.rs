//! The cure clock along a night and a month of 1-minute readings, in both rules.

#![allow(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use divan::counter::ItemsCount;
use divan::{Bencher, black_box};
use nightpour::cure::{AgeCurve, CureRule, Knot, RateLaw, TemperatureCurve};
use nightpour::units::{Celsius, KjPerMol, Q10};

fn main() {
    divan::main();
}

const NIGHT: usize = 720;
const MONTH: usize = 43_200;

fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

fn q10() -> CureRule {
    CureRule { law: RateLaw::Q10(Q10::new(2.0).unwrap()), reference: c(25.0), floor: Some(c(14.0)) }
}

fn arrhenius() -> CureRule {
    CureRule { law: RateLaw::Arrhenius(KjPerMol::new(53.0).unwrap()), reference: c(25.0), floor: Some(c(14.0)) }
}

/// Readings a minute apart, 13 to 23 °C through each day, invented.
fn readings(count: usize) -> TemperatureCurve {
    let knot = |minute: usize| {
        let at_h = minute as f64 / 60.0;
        Knot { at_h, celsius: c(18.0 + 5.0 * (at_h * std::f64::consts::TAU / 24.0).cos()) }
    };
    TemperatureCurve::new((0..count).map(knot).collect()).unwrap()
}

fn cure_age(bencher: Bencher<'_, '_>, count: usize, rule: CureRule) {
    let curve = readings(count);
    let end_h = curve.last().at_h;
    bencher
        .counter(ItemsCount::new(count))
        .bench(|| AgeCurve::new(black_box(&curve), black_box(rule), 0.0).age_at(end_h));
}

fn reach(bencher: Bencher<'_, '_>, count: usize, rule: CureRule) {
    let curve = readings(count);
    let ages = AgeCurve::new(&curve, rule, 0.0);
    let wanted = ages.age_at(curve.last().at_h) / 3.0;
    bencher.bench(|| black_box(&ages).reach(black_box(wanted)));
}

#[divan::bench(args = [NIGHT, MONTH])]
fn cure_age_q10(bencher: Bencher<'_, '_>, count: usize) {
    cure_age(bencher, count, q10());
}

#[divan::bench(args = [NIGHT, MONTH])]
fn cure_age_arrhenius(bencher: Bencher<'_, '_>, count: usize) {
    cure_age(bencher, count, arrhenius());
}

#[divan::bench(args = [NIGHT, MONTH])]
fn reach_q10(bencher: Bencher<'_, '_>, count: usize) {
    reach(bencher, count, q10());
}

#[divan::bench(args = [NIGHT, MONTH])]
fn reach_arrhenius(bencher: Bencher<'_, '_>, count: usize) {
    reach(bencher, count, arrhenius());
}

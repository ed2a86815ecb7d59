//! The cure clock against figures from outside the project. The source stands beside each check.

#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use nightpour::cure::{AgeCurve, CureRule, Knot, RateLaw, TemperatureCurve};
use nightpour::material::{Catalogue, Stage, ThermalCure};
use nightpour::units::{Celsius, KjPerMol, Q10};

/// Activation energy at which Q10 = 2 between 298.15 K and 308.15 K (textbook statement 52.95; six more digits solved
/// independently with scipy from E = R ln 2 / (1/298.15 − 1/308.15)).
const EA_FOR_DOUBLING: f64 = 52.948_862;

fn c(value: f64) -> Celsius {
    Celsius::new(value).unwrap()
}

fn q10(q: f64) -> RateLaw {
    RateLaw::Q10(Q10::new(q).unwrap())
}

fn arrhenius(kj: f64) -> RateLaw {
    RateLaw::Arrhenius(KjPerMol::new(kj).unwrap())
}

fn rule(law: RateLaw) -> CureRule {
    CureRule { law, reference: c(25.0), floor: None }
}

/// The cool night's knots (h, °C): invented; the last value holds.
const COOL_NIGHT: [(f64, f64); 11] = [
    (0.0, 22.0),
    (2.0, 20.5),
    (4.0, 18.0),
    (7.0, 15.0),
    (10.0, 12.5),
    (12.0, 12.0),
    (14.0, 15.0),
    (17.0, 21.0),
    (20.0, 24.0),
    (22.0, 23.5),
    (24.0, 22.0),
];

fn cool_night() -> TemperatureCurve {
    TemperatureCurve::new(COOL_NIGHT.iter().map(|&(at_h, t)| Knot { at_h, celsius: c(t) }).collect()).unwrap()
}

#[track_caller]
fn close(got: f64, want: f64, tolerance: f64) {
    assert!((got - want).abs() <= tolerance, "got {got}, want {want} ± {tolerance}");
}

#[test]
fn doubling_per_ten_degrees_is_fifty_three_kilojoules() {
    // Q10 = 2 over 298.15→308.15 K: 52.95 kJ/mol (textbook statement); over 303→313 K: 54.66 (textbook statement,
    // 54.657103 solved independently with scipy).
    let over = |kj: f64, from: f64, to: f64| arrhenius(kj).rate(to, c(from));
    close(over(EA_FOR_DOUBLING, 25.0, 35.0), 2.0, 1e-7);
    close(over(52.95, 25.0, 35.0), 2.0, 1e-4);
    close(over(54.657_103, 29.85, 39.85), 2.0, 1e-7);
    close(over(54.66, 29.85, 39.85), 2.0, 2e-4);
}

#[test]
fn rates_relative_to_25_degrees() {
    // Solved independently with scipy at tolerance 1e-9.
    for (t, by_q10, by_arrhenius) in [
        (15.0, 0.5, 0.476_514_396),
        (20.0, std::f64::consts::FRAC_1_SQRT_2, 0.694_677_766),
        (30.0, std::f64::consts::SQRT_2, 1.422_320_648),
    ] {
        close(q10(2.0).rate(t, c(25.0)), by_q10, 1e-9);
        close(arrhenius(EA_FOR_DOUBLING).rate(t, c(25.0)), by_arrhenius, 2e-9);
    }
}

#[test]
fn the_two_rules_are_not_interchangeable_in_the_cold() {
    // They differ 9.6 % at 10 °C (solved independently with scipy).
    let ratio = q10(2.0).rate(10.0, c(25.0)) / arrhenius(EA_FOR_DOUBLING).rate(10.0, c(25.0));
    close(ratio, 1.096, 1e-3);
}

#[test]
fn equivalent_time_of_cement_hydration() {
    // NIST, computer modelling of cement hydration, Table IX: mean activation energy 38.2 kJ/mol; times at 15 °C × 0.585
    // and at 35 °C × 1.65 give the equivalent time at 25 °C. Nine digits solved independently with scipy.
    let law = arrhenius(38.2);
    close(law.rate(15.0, c(25.0)), 0.585, 1e-3);
    close(law.rate(35.0, c(25.0)), 1.65, 2e-3);
    close(law.rate(15.0, c(25.0)), 0.585_798, 1e-6);
    close(law.rate(35.0, c(25.0)), 1.648_839, 1e-6);
}

#[test]
fn a_maturity_linear_in_temperature_is_the_limit_of_small_sensitivity() {
    // Nurse-Saul worked example: 28 d at 15 °C, datum −11 °C → 728 °C·d. The rule is linear in temperature, ours is not;
    // near the reference the two agree to first order when b = 1/(Tref − datum), the slope of the linear rate there.
    let (datum, reference, t, days) = (-11.0, 15.0, 15.0, 28.0);
    let linear_age_days = days * (t - datum) / (reference - datum);
    close(linear_age_days * (reference - datum), 728.0, 1e-9);
    let q = (10.0 / (reference - datum)).exp();
    let ours = AgeCurve::new(
        &TemperatureCurve::constant(c(t)),
        CureRule { law: q10(q), reference: c(reference), floor: None },
        0.0,
    );
    close(ours.age_at(days * 24.0) / 24.0 * (reference - datum), 728.0, 1e-9);
    let half_degree = q10(q).rate(t + 0.5, c(reference)) - (t + 0.5 - datum) / (reference - datum);
    assert!(half_degree.abs() < 0.5f64.powi(2) / (reference - datum).powi(2), "second order only: {half_degree}");
}

#[test]
fn default_sensitivity_of_equivalent_age() {
    // ASTM C1074 defines equivalent age by exp(−Q(1/T − 1/Tref)); its default Q = 5000 K is from memory.
    let law = arrhenius(5000.0 * nightpour::cure::GAS_CONSTANT_KJ);
    let expected = (-5000.0f64 * (1.0 / 288.15 - 1.0 / 298.15)).exp();
    close(law.rate(15.0, c(25.0)), expected, 1e-12);
}

#[test]
fn a_cool_night_hour_by_hour() {
    // Solved independently: closed form and scipy's Radau agree within 3e-10 h.
    let by_q10 = AgeCurve::new(&cool_night(), rule(q10(2.0)), 0.0);
    let by_arrhenius = AgeCurve::new(&cool_night(), rule(arrhenius(EA_FOR_DOUBLING)), 0.0);
    for (age, clock_q10, clock_arrhenius) in [
        (1.0, 1.272_308_566, 1.286_918_616),
        (2.0, 2.641_935_001, 2.680_907_894),
        (4.0, 5.931_534_585, 6.095_807_292),
        (8.0, 14.647_806_191, 15.209_201_833),
        (16.0, 24.499_278_958, 24.976_553_108),
    ] {
        close(by_q10.reach(age).unwrap(), clock_q10, 1e-6);
        close(by_arrhenius.reach(age).unwrap(), clock_arrhenius, 1e-6);
    }
    close(by_q10.age_at(24.0), 15.594_459_470, 1e-6);
    close(by_arrhenius.age_at(24.0), 15.214_024_205, 1e-6);
}

#[test]
fn the_rate_of_the_mean_temperature_is_wrong() {
    // The shortcut gives 15.021124 h for the cool night, 3.7 % below the truth (solved independently with scipy).
    let (mut degree_hours, mut last) = (0.0, COOL_NIGHT[0]);
    for &knot in &COOL_NIGHT[1..] {
        degree_hours += (knot.0 - last.0) * f64::midpoint(knot.1, last.1);
        last = knot;
    }
    let shortcut = 24.0 * rule(q10(2.0)).rate(degree_hours / 24.0);
    close(shortcut, 15.021_124, 1e-6);
    let ours = AgeCurve::new(&cool_night(), rule(q10(2.0)), 0.0).age_at(24.0);
    close(1.0 - shortcut / ours, 0.037, 5e-4);
}

/// The activation energy in kJ/mol that gives `law` the same step from 298.15 to 308.15 K.
fn equivalent_kj(law: RateLaw) -> f64 {
    let step = law.rate(35.0, c(25.0)).ln();
    nightpour::cure::GAS_CONSTANT_KJ * step / (1.0 / 298.15 - 1.0 / 308.15)
}

#[test]
fn the_profiles_sensitivities_lie_where_others_found_them() {
    let catalogue = Catalogue::embedded();
    let laws = |cure: &ThermalCure| -> Vec<RateLaw> {
        let own = cure.stages.iter().filter_map(|stage| stage.law);
        own.chain([cure.law]).map(|law| law.value).collect()
    };
    for cure in catalogue.iter().filter_map(|item| item.profile.thermal()) {
        for law in laws(cure) {
            // Trade rules run from 1.3 (thin-film set) to 3.5 (common practice).
            let over_ten_degrees = law.rate(35.0, c(25.0));
            assert!((1.3 - 1e-9..=3.5 + 1e-9).contains(&over_ten_degrees), "{law:?}");
        }
    }
    // Cobalt and ketone-peroxide polyester 40 to 60 kJ/mol (J. Appl. Polym. Sci. 102 (2006) 1870, abstract); epoxy gel
    // times 43 to 58 kJ/mol (J. Appl. Polym. Sci. 83 (2002) 78, abstract).
    for (material, low, high) in
        [("clear-polyester", 40.0, 60.0), ("deep-pour-epoxy", 43.0, 58.0), ("slow-epoxy", 43.0, 58.0)]
    {
        let cure = catalogue.find(material).unwrap().profile.thermal().unwrap();
        let gel = cure.stage(Stage::Gel).unwrap().law.unwrap_or(cure.law);
        let kj = equivalent_kj(gel.value);
        assert!((low..=high).contains(&kj), "{material}: {kj} kJ/mol");
    }
}

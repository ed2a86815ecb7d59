//! From the figures of a cup to a reaction and back to a cup.

use crate::support::{c, near, reacting};
use nightpour::cure::TemperatureCurve;
use nightpour::heat::{Cup, CupCourse, CupTest, Kinetics, NoSuchMaterial, Resin, calibrate};
use proptest::prelude::*;

fn resin(k1_per_s: f64, k2_per_s: f64, heat_j_per_kg: f64) -> Resin {
    let resin = reacting();
    Resin { kinetics: Kinetics { k1_per_s, k2_per_s, heat_j_per_kg, ..resin.kinetics }, ..resin }
}

fn course(resin: &Resin, test: &CupTest) -> CupCourse {
    Cup { mass_g: test.mass_g }.course(resin, test.gel_conversion, &TemperatureCurve::constant(test.start), 0.0)
}

fn casting(gel_s: f64, peak_after_s: f64, peak_c: f64) -> CupTest {
    CupTest { mass_g: 100.0, start: c(25.0), gel_s, peak_after_s, peak: c(peak_c), gel_conversion: 0.3 }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn a_cup_shows_what_it_was_calibrated_to(
        cool_gel_s in 400.0..14_000.0f64,
        ratio in 0.5..2000.0f64,
        heat_j_per_kg in 120e3..450e3f64,
        mass_g in 20.0..500.0f64,
        gel_conversion in 0.03..0.7f64,
    ) {
        // The speed at which it would gel in this time if it stayed as cool as the room.
        let k1 = resin(1.0, ratio, 0.0).kinetics.age_s(gel_conversion) / cool_gel_s;
        let blank = CupTest { mass_g, gel_conversion, ..casting(1.0, 1.0, 100.0) };
        let shown = course(&resin(k1, ratio * k1, heat_j_per_kg), &blank);
        let warmest = shown.trace().fold(f64::NEG_INFINITY, |most, (_, celsius)| most.max(celsius));
        prop_assert!(shown.peak_c >= warmest, "a peak of {} below {}", shown.peak_c, warmest);
        // A cup that hardly warms has no peak to print on a sheet.
        prop_assume!(shown.peak_c > 30.0 && shown.gel_h.is_some());
        let test = CupTest {
            gel_s: shown.gel_h.unwrap() * 3600.0,
            peak_after_s: shown.peak_h * 3600.0,
            peak: c(shown.peak_c),
            ..blank
        };
        let found = calibrate(&test, reacting());
        prop_assert!(found.is_ok(), "{:?} refused: {:?}", test, found);
        let again = course(&found.unwrap(), &test);
        let apart = |got: f64, want: f64| (got / want - 1.0).abs();
        prop_assert!(apart(again.gel_h.unwrap(), shown.gel_h.unwrap()) < 1e-5, "gel {again:?}");
        prop_assert!(apart(again.peak_h, shown.peak_h) < 1e-5, "peak after {} not {}", again.peak_h, shown.peak_h);
        prop_assert!(apart(again.peak_c, shown.peak_c) < 1e-5, "peak {} not {}", again.peak_c, shown.peak_c);
    }
}

#[test]
fn a_cup_hotter_than_any_resin_makes_it() {
    // 700 J/g in 1.9 J/gK is 368 °C over the room, were nothing lost.
    let resin = Resin { specific_heat_j_per_kgk: 1900.0, ..reacting() };
    let refused = calibrate(&casting(1200.0, 1500.0, 395.0), resin);
    assert!(matches!(refused, Err(NoSuchMaterial::TooHot { .. })), "{refused:?}");
    // Nothing of that is far beyond what can be.
    assert!(calibrate(&casting(1200.0, 1300.0, 200.0), resin).is_ok());
}

#[test]
fn a_peak_that_cannot_come_that_soon() {
    // Half way to the gel point it cannot already be past its peak.
    let refused = calibrate(&casting(1200.0, 600.0, 120.0), reacting());
    let Err(NoSuchMaterial::PeakTooSoon { soonest_s }) = refused else { panic!("{refused:?}") };
    assert!(soonest_s > 600.0, "{soonest_s}");
    // Somewhat later than said to be the soonest it can.
    let possible = casting(1200.0, soonest_s * 1.02, 120.0);
    let found = calibrate(&possible, reacting()).unwrap();
    near(course(&found, &possible).peak_h * 3600.0, soonest_s * 1.02, 1e-5);
}

#[test]
fn a_peak_that_cannot_come_that_late() {
    // A day after its gel a cup of 100 g has long cooled.
    let refused = calibrate(&casting(1200.0, 90_000.0, 120.0), reacting());
    let Err(NoSuchMaterial::PeakTooLate { latest_s }) = refused else { panic!("{refused:?}") };
    assert!(latest_s > 1200.0 && latest_s < 90_000.0, "{latest_s}");
    let possible = casting(1200.0, latest_s * 0.98, 120.0);
    let found = calibrate(&possible, reacting()).unwrap();
    near(course(&found, &possible).peak_h * 3600.0, latest_s * 0.98, 1e-5);
}

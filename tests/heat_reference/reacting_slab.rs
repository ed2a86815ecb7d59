//! A slab that heats itself, from a warm layer to a runaway.
//!
//! The figures were computed with scipy, an independent calculation: finite volumes, Radau, and what two grids say to a
//! grid without end. The material is invented.

use crate::support::{case, close, near, reacting};
use nightpour::heat::{Case, Kinetics, Resin};

#[test]
fn the_middle_of_a_reacting_slab() {
    for (thickness_mm, peak_c, peak_s, kelvin, seconds) in [
        (3.0, 28.8662, 12_792.6, 0.002, 2.0),
        (6.0, 39.7360, 11_547.6, 0.002, 2.0),
        // On the brink of running away everything hangs on a hair.
        (10.0, 129.0168, 8428.7, 0.1, 10.0),
    ] {
        let answer = case(thickness_mm).answer();
        println!(
            "{thickness_mm} mm: {:.4} °C at {:.1} s (scipy {peak_c}, {peak_s}), grid {:.1e}, energy {:.1e}",
            answer.centre_peak_c, answer.centre_peak_s, answer.grid_error_c, answer.energy_error
        );
        close(answer.centre_peak_c, peak_c, kelvin);
        close(answer.centre_peak_s, peak_s, seconds);
        assert!(answer.resolved && answer.energy_error < 1e-6, "{answer:?}");
    }
}

#[test]
fn when_half_has_reacted_in_the_middle() {
    for (thickness_mm, half_s) in [(6.0, 10_449.037), (10.0, 8030.587), (20.0, 5875.664)] {
        let got = case(thickness_mm).answer().t_half_centre_s.unwrap();
        println!("{thickness_mm} mm: half way after {got:.3} s (scipy {half_s})");
        close(got, half_s, 0.2);
    }
}

#[test]
fn a_front_that_runs_to_the_faces_heats_them_most() {
    // 20 mm: the reaction begins in the middle and meets what it has warmed, so that the faces get hotter than it was.
    let answer = case(20.0).answer();
    println!(
        "20 mm: middle {:.4} °C, top face {:.4} °C (scipy 170.1011, 196.8144)",
        answer.centre_peak_c, answer.top_face_peak_c
    );
    close(answer.centre_peak_c, 170.1011, 0.005);
    close(answer.top_face_peak_c, 196.8144, 0.15);
    assert!(answer.resolved);
}

#[test]
fn half_a_slab_on_an_insulated_base_is_a_slab() {
    let whole = case(10.0).answer();
    let half = Case { h_bottom_w_per_m2k: 0.0, ..case(5.0) }.answer();
    println!("top face: whole {:.4}, half {:.4} (scipy 121.4423)", whole.top_face_peak_c, half.top_face_peak_c);
    close(whole.top_face_peak_c, 121.4423, 0.1);
    close(half.top_face_peak_c, 121.4423, 0.1);
}

#[test]
fn a_slab_that_stays_cool_is_half_way_when_the_closed_form_says() {
    // t(0.5) = ln((1 + k2/2k1) / 0.5) / (k1 + k2) = 14719.250 s at 25 °C.
    let resin = reacting();
    let want = (2.0 * (1.0 + 0.5 * 2e-4 / 1e-5_f64)).ln() / (1e-5 + 2e-4);
    close(want, 14_719.250, 5e-4);
    near(resin.kinetics.age_s(0.5), want, 1e-9);
    let cool = Resin { kinetics: Kinetics { heat_j_per_kg: 0.0, ..resin.kinetics }, ..resin };
    let answer = Case { resin: cool, ..case(10.0) }.answer();
    println!("half way after {:?} s", answer.t_half_centre_s);
    close(answer.t_half_centre_s.unwrap(), want, 0.1);
    close(answer.centre_peak_c, 25.0, 1e-12);
}

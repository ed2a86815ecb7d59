//! Conduction alone: a plane wall that is put into a room of another temperature.
//!
//! The textbook cools its wall; here a cold one is warmed, which is the same problem upside down, because a place that
//! grows warmer all the time is at its highest temperature so far.

use crate::support::{Slab, close, inert};
use nightpour::heat::Fineness;
use std::f64::consts::{FRAC_PI_2, PI};

/// In the middle, °C.
const COLD: f64 = 20.0;
const ROOM: f64 = 60.0;

/// As good as a face that is held at the temperature of the room, W/m²K.
const HELD: f64 = 1e9;

/// Half the thickness of the wall, and what heat takes to cross it.
const HALF_M: f64 = 0.005;
const CROSSING_S: f64 = HALF_M * HALF_M * 1150.0 * 1700.0 / 0.2;

/// Fine enough for a wall whose faces are held.
const FINENESS: Fineness = Fineness { cells: 243, ..Fineness::FINE };

/// Root `n`, from 0 on, of ζ tan ζ = Bi, by bisection.
fn zeta(n: u32, biot: f64) -> f64 {
    let (mut low, mut high) = (f64::from(n) * PI, f64::from(n) * PI + FRAC_PI_2);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        let over = middle * middle.tan() > biot;
        *(if over { &mut high } else { &mut low }) = middle;
    }
    low
}

/// C = 4 sin ζ / (2ζ + sin 2ζ).
fn coefficient(zeta: f64) -> f64 {
    4.0 * zeta.sin() / (2.0 * zeta + (2.0 * zeta).sin())
}

fn term(zeta: f64, fourier: f64) -> f64 {
    coefficient(zeta) * (-zeta * zeta * fourier).exp()
}

/// The middle's share of the way still to go, by our solver.
fn ours(wall: &mut Slab, fourier: f64) -> f64 {
    (ROOM - wall.centre_c(fourier * CROSSING_S)) / (ROOM - COLD)
}

fn wall(h_w_per_m2k: f64) -> Slab {
    Slab::new(inert(), 2000.0 * HALF_M, COLD, ROOM, h_w_per_m2k, FINENESS)
}

#[test]
fn a_plane_wall_by_the_one_term_solution() {
    // Incropera & DeWitt, Fundamentals of Heat and Mass Transfer, Table 5.1 (plane wall): Bi, ζ, C.
    for (biot, table_zeta, table_c) in [(0.1, 0.3111, 1.0161), (1.0, 0.8603, 1.1191), (10.0, 1.4289, 1.2620)] {
        let first = zeta(0, biot);
        close(first, table_zeta, 5.1e-5);
        close(coefficient(first), table_c, 5.1e-5);
        let mut wall = wall(biot * 0.2 / HALF_M);
        // Where one term is not enough for so many digits: the first five of the same series.
        let early = (0..5).map(|n| term(zeta(n, biot), 0.3)).sum();
        close(ours(&mut wall, 0.3), early, 2e-5);
        for fourier in [1.0, 2.0] {
            let (got, want) = (ours(&mut wall, fourier), term(first, fourier));
            println!("Bi {biot}, Fo {fourier}: {got:.7}, one term {want:.7}");
            close(got, want, 1e-5);
        }
    }
}

#[test]
fn a_plane_wall_with_its_faces_held() {
    // The limit of the same table: ζ = π/2, C = 4/π.
    close(coefficient(FRAC_PI_2), 4.0 / PI, 1e-15);
    let mut wall = wall(HELD);
    // Later it is nearly as warm as the room, where the solver takes coarser cells.
    for fourier in [0.6, 1.0, 1.4] {
        let (got, want) = (ours(&mut wall, fourier), term(FRAC_PI_2, fourier));
        println!("Faces held, Fo {fourier}: {got:.7}, one term {want:.7}");
        close(got, want, 1e-5);
    }
}

#[test]
fn a_layer_that_cools_in_a_room() {
    // 10 mm, 10 W/m²K at both faces, 60 °C into 20 °C: the centre, computed with scipy from the series, an independent
    // calculation.
    let mut layer = wall(10.0);
    for (at_s, cooling_c) in [(60.0, 59.095_317), (300.0, 51.293_335), (600.0, 43.581_205), (1200.0, 33.390_419)] {
        let got = COLD + ROOM - layer.centre_c(at_s);
        println!("{at_s} s: {got:.6}, series {cooling_c:.6}");
        close(got, cooling_c, 3e-4);
    }
    assert!(layer.pile.energy_error() < 1e-9, "{}", layer.pile.energy_error());
}

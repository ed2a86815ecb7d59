//! A mesh of 100 000 triangles: checked and built, asked for the volume below 200 heights, and asked for 30 levels in a
//! vessel around it. Together this is what a plan with one such item asks of geometry.

#![allow(clippy::unwrap_used, reason = "a bench stops at the first surprise")]

use divan::{Bencher, black_box};
use nightpour::pour::{Fixing, Item, Mesh, Shape, Solid, Space, Vessel};
use nightpour::text::PlainText;
use nightpour::units::{Level, Millimetres};
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

fn main() {
    divan::main();
}

/// 2 · ROUND · (BANDS - 1) triangles.
const ROUND: usize = 250;
const BANDS: usize = 201;

#[expect(clippy::cast_possible_truncation, reason = "coordinates are rounded to what a file holds")]
fn single(x: f64) -> f32 {
    x as f32
}

/// A pebble of about 20 mm radius, dented all over so that no two corners share a height; invented.
fn pebble() -> Vec<[[f32; 3]; 3]> {
    let corner = |band: usize, step: usize| {
        let (polar, around) = (PI * band as f64 / BANDS as f64, TAU * (step % ROUND) as f64 / ROUND as f64);
        let radius = 20.0 + (7.0 * around).sin() * (5.0 * polar).sin();
        // A pole is one corner, and not as many as there are steps around it.
        let flat = if band.is_multiple_of(BANDS) { 0.0 } else { radius * polar.sin() };
        [flat * around.cos(), flat * around.sin(), -radius * polar.cos()].map(single)
    };
    let mut triangles = Vec::new();
    for band in 0..BANDS {
        for step in 0..ROUND {
            let (a, b) = (corner(band, step), corner(band, step + 1));
            let (c, d) = (corner(band + 1, step + 1), corner(band + 1, step));
            if band > 0 {
                triangles.push([a, b, c]);
            }
            if band + 1 < BANDS {
                triangles.push([a, c, d]);
            }
        }
    }
    assert_eq!(triangles.len(), 100_000);
    triangles
}

#[divan::bench]
fn build(bencher: Bencher<'_, '_>) {
    let triangles = pebble();
    bencher.bench(|| Mesh::new(black_box(&triangles), 1.0).unwrap());
}

#[divan::bench]
fn two_hundred_heights(bencher: Bencher<'_, '_>) {
    let mesh = Mesh::new(&pebble(), 1.0).unwrap();
    let heights: Vec<f64> = (1..=200).map(|i| mesh.height_mm() * f64::from(i) / 200.0).collect();
    bencher.bench(|| heights.iter().map(|h| mesh.volume_below_ml(black_box(*h))).sum::<f64>());
}

fn tube() -> Vessel {
    let mm = |value| Millimetres::new(value).unwrap();
    Vessel::stack([Shape::Cylinder { diameter: mm(60.0), height: mm(60.0) }]).unwrap()
}

fn item(mesh: Mesh) -> Item {
    Item {
        name: PlainText::new("pebble"),
        count: 1,
        solid: Solid::Mesh(Arc::new(mesh)),
        from: Level::new(5.0).unwrap(),
        bedded: false,
        fixing: Fixing::Held,
        density: None,
        specific_heat: None,
        heat_limit: None,
        porous: false,
    }
}

fn thirty_levels_of(space: Space<'_>) -> f64 {
    let layer_ml = space.volume_between_ml(0.0, 60.0) / 31.0;
    (0..30).fold(0.0, |level, _| space.level_after_mm(level, layer_ml).unwrap())
}

#[divan::bench]
fn thirty_levels(bencher: Bencher<'_, '_>) {
    let (vessel, items) = (tube(), [item(Mesh::new(&pebble(), 1.0).unwrap())]);
    bencher.bench(|| thirty_levels_of(Space::new(black_box(&vessel), &items)));
}

#[divan::bench]
fn crowding(bencher: Bencher<'_, '_>) {
    let (vessel, items) = (tube(), [item(Mesh::new(&pebble(), 1.0).unwrap())]);
    bencher.bench(|| Space::new(black_box(&vessel), &items).crowded_at());
}

#[divan::bench]
fn all_of_it(bencher: Bencher<'_, '_>) {
    let (triangles, vessel) = (pebble(), tube());
    bencher.bench(|| {
        let mesh = Mesh::new(black_box(&triangles), 1.0).unwrap();
        let table = mesh.table();
        let items = [item(mesh)];
        let space = Space::new(&vessel, &items);
        (table, space.crowded_at(), thirty_levels_of(space))
    });
}

//! Simulated shops: invented, seeded, and said so. What the program learns of each is held against what is true of it.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[path = "support/shop.rs"]
mod shop;

use nightpour::learn::{Look, Setting, ShopFit};
use shop::{LOOKED_FOR, Layer, Shop};

const SHOPS: u64 = 120;

/// Eight layers, four on a cool bench and four on a warm one.
fn eight_layers(shop: &mut Shop) -> Vec<Look> {
    let mut looks = Vec::new();
    for celsius in [17.0, 18.0, 16.5, 17.5, 24.0, 25.0, 23.5, 24.5] {
        let layer = shop.layer(celsius);
        looks.extend(shop.looks(&layer));
    }
    looks
}

fn setting(layer: &Layer) -> Setting<'_> {
    Setting { bench: &layer.bench, dose: Some(layer.dose), own_heat: 0.0 }
}

#[test]
fn the_bands_hold_what_they_promise() {
    let (mut within, mut all) = (0, 0);
    for seed in 0..SHOPS {
        let mut shop = Shop::new(seed, if seed % 2 == 0 { 1.5 } else { 0.6 });
        let looks = eight_layers(&mut shop);
        let fit = ShopFit::of(shop.model(), &looks).unwrap();
        for celsius in [16.0, 18.5, 20.0, 22.0, 26.0] {
            let layer = shop.layer(celsius);
            for (stage, at_h) in &layer.reached {
                let predicted = fit.predict(*stage, &setting(&layer)).unwrap();
                let (low, high) = (predicted.hours(0.05).unwrap(), predicted.hours(0.95).unwrap());
                within += usize::from((low..=high).contains(at_h));
                all += 1;
            }
        }
    }
    let share = f64::from(u32::try_from(within).unwrap()) / f64::from(u32::try_from(all).unwrap());
    println!("90 % bands hold {within} of {all}: {:.1} %", share * 100.0);
    assert!((0.85..=0.95).contains(&share), "{share}");
}

#[test]
fn bands_narrow_as_looks_come_in() {
    let mean_sd = |layers: usize| {
        let sds = (0..20u64).map(|seed| {
            let mut shop = Shop::new(3000 + seed, 1.4);
            let looks = eight_layers(&mut shop);
            let fit = ShopFit::of(shop.model(), &looks[..layers * LOOKED_FOR.len()]).unwrap();
            let layer = shop.layer(20.0);
            fit.predict(LOOKED_FOR[0], &setting(&layer)).unwrap().sd()
        });
        sds.sum::<f64>() / 20.0
    };
    let narrower = [0, 1, 2, 4, 8].map(mean_sd);
    println!("standard deviation of ln(time) after 0, 1, 2, 4, 8 layers: {narrower:.3?}");
    assert!(narrower.array_windows().all(|[before, after]| after < before), "{narrower:?}");
    // The label promises late at 1.4 times likely: a standard deviation of 0.263.
    assert!(narrower[1] < 0.27 && narrower[2] < 0.22 && narrower[4] < 0.13, "{narrower:?}");
}

#[test]
fn after_eight_layers_the_times_are_the_shops() {
    let (mut ours, mut labels) = (Vec::new(), Vec::new());
    for seed in 0..SHOPS {
        let mut shop = Shop::new(1000 + seed, if seed % 2 == 0 { 1.5 } else { 0.5 });
        let looks = eight_layers(&mut shop);
        let label = ShopFit::of(shop.model(), &[]).unwrap();
        let fit = ShopFit::of(shop.model(), &looks).unwrap();
        for celsius in [16.0, 20.0, 26.0] {
            let layer = shop.layer(celsius);
            for stage in LOOKED_FOR {
                let truth = shop.median_h(stage, &layer);
                let off = |fit: &ShopFit| {
                    (fit.predict(stage, &setting(&layer)).unwrap().hours(0.5).unwrap() / truth - 1.0).abs()
                };
                ours.push(off(&fit));
                labels.push(off(&label));
            }
        }
    }
    let median = |off: &mut Vec<f64>| {
        off.sort_unstable_by(f64::total_cmp);
        off[off.len() / 2]
    };
    let (ours, labels) = (median(&mut ours), median(&mut labels));
    println!("median error {:.1} % where the label's was {:.1} %", ours * 100.0, labels * 100.0);
    assert!(ours < 0.10 && labels > 0.3, "{ours} {labels}");
}

#[test]
fn a_wrong_entry_in_ten_moves_nothing_by_a_tenth() {
    let mut worst: f64 = 0.0;
    for seed in 0..SHOPS {
        let mut shop = Shop::new(2000 + seed, 1.4);
        let mut looks = eight_layers(&mut shop);
        let layer = shop.layer(21.0);
        looks.extend(shop.looks(&layer));
        let clean = ShopFit::of(shop.model(), &looks).unwrap();
        // One entry in ten is of another batch or another day: five times, or a fifth of the time.
        let mut wrong = looks.clone();
        for (i, look) in wrong.iter_mut().enumerate().filter(|(i, _)| i % 10 == 4) {
            let factor = if i % 20 == 4 { 5.0 } else { 0.2 };
            look.after_h = look.after_h.map(|hours| hours * factor);
            look.by_h = look.by_h.map(|hours| hours * factor);
        }
        let slipped = ShopFit::of(shop.model(), &wrong).unwrap();
        for celsius in [17.0, 21.0, 25.0] {
            let layer = shop.layer(celsius);
            for stage in LOOKED_FOR {
                let hours = |fit: &ShopFit| fit.predict(stage, &setting(&layer)).unwrap().hours(0.5).unwrap();
                let moved = (hours(&slipped) / hours(&clean) - 1.0).abs();
                worst = worst.max(moved);
            }
        }
    }
    println!("a wrong entry in ten moves a time by {:.1} % at most", worst * 100.0);
    assert!(worst < 0.10, "{worst}");
}

//! Invented shops, each made from a seed: their own factor, temperature rule, dose exponent and spread, and layers of which
//! somebody looks now and then.
#![expect(clippy::unwrap_used, reason = "test support: a panic is the failing test")]

use nightpour::cure::{AgeCurve, Knot, RateLaw, TemperatureCurve};
use nightpour::learn::{Look, ShopModel};
use nightpour::material::{Catalogue, Stage, ThermalCure};
use nightpour::units::{Celsius, DosePercent, Q10};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, Normal};
use std::sync::Arc;

/// What people look for of a layer.
pub const LOOKED_FOR: [Stage; 3] = [Stage::Gel, Stage::NextLayerOpens, Stage::Demould];

pub struct Shop {
    pub label: ThermalCure,
    factors: Vec<(Stage, f64)>,
    q10: f64,
    exponent: f64,
    spread: f64,
    random: StdRng,
}

/// One layer as it really went.
pub struct Layer {
    pub bench: Arc<TemperatureCurve>,
    pub dose: DosePercent,
    /// Hours from first contact.
    pub reached: Vec<(Stage, f64)>,
}

impl Shop {
    /// Clear polyester in a shop whose times are `factor` times the label's, give or take.
    pub fn new(seed: u64, factor: f64) -> Self {
        let mut random = StdRng::seed_from_u64(seed);
        let normal = |mean: f64, sd: f64| Normal::new(mean, sd).unwrap();
        let label = Catalogue::embedded().find("clear-polyester").unwrap().profile.thermal().unwrap().clone();
        let own = normal(0.0, 0.1);
        let factors = LOOKED_FOR.map(|stage| (stage, factor * own.sample(&mut random).exp())).to_vec();
        let q10 = normal(2f64.ln(), 0.15).sample(&mut random).exp().max(1.1);
        let exponent = normal(0.9, 0.15).sample(&mut random);
        let spread = random.random_range(0.06..0.16);
        Self { label, factors, q10, exponent, spread, random }
    }

    pub fn model(&self) -> ShopModel {
        ShopModel::of(&self.label)
    }

    /// A layer on a bench that falls by up to 3 °C from `celsius` over eight hours.
    pub fn layer(&mut self, celsius: f64) -> Layer {
        let falls = self.random.random_range(0.0..3.0);
        let knot = |at_h: f64, c: f64| Knot { at_h, celsius: Celsius::new(c).unwrap() };
        let bench = TemperatureCurve::new(vec![knot(0.0, celsius), knot(8.0, celsius - falls)]).unwrap();
        let dose = DosePercent::new(self.random.random_range(0.7..1.5)).unwrap();
        let noise = Normal::new(0.0, self.spread).unwrap();
        let reached = self
            .factors
            .clone()
            .into_iter()
            .map(|(stage, factor)| {
                let off = noise.sample(&mut self.random);
                (stage, self.likely_h(stage, factor, &bench, dose, off))
            })
            .collect();
        Layer { bench: Arc::new(bench), dose, reached }
    }

    /// The hour at which half of all layers of this shop would have reached `stage`.
    pub fn median_h(&self, stage: Stage, layer: &Layer) -> f64 {
        let factor = self.factors.iter().find(|(of, _)| *of == stage).unwrap().1;
        self.likely_h(stage, factor, &layer.bench, layer.dose, 0.0)
    }

    fn likely_h(&self, stage: Stage, factor: f64, bench: &TemperatureCurve, dose: DosePercent, off: f64) -> f64 {
        let rule = self.label.rule(RateLaw::Q10(Q10::new(self.q10).unwrap()));
        let slower = (1.0 / dose.get()).powf(self.exponent);
        let label_h = self.label.stage(stage).unwrap().after.value.get();
        AgeCurve::new(bench, rule, 0.0).reach(label_h * factor * slower * off.exp()).unwrap()
    }

    /// What somebody wrote down who looked now and then: every 8 to 20 % of the time, and at times found it there at first.
    pub fn looks(&mut self, layer: &Layer) -> Vec<Look> {
        let mut looks = Vec::new();
        for (stage, at_h) in &layer.reached {
            let rhythm = self.random.random_range(1.08..1.2f64);
            let phase = self.random.random_range(0.0..1.0);
            let first = at_h / rhythm.powf(phase);
            let slept = self.random.random_range(0.0..1.0) < 0.1;
            looks.push(Look {
                stage: *stage,
                after_h: (!slept).then_some(first),
                by_h: Some(first * rhythm),
                bench: layer.bench.clone(),
                dose: Some(layer.dose),
                own_heat: 0.0,
                guessed: false,
            });
        }
        looks
    }
}

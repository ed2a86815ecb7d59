//! Laplace's approximation held against a sampler that walks the exact posterior: invented looks, seeded.

use super::fit::{Fit, Prior, ln_posterior};
use super::look::Look;
use super::shape::Shape;
use super::shop::ShopModel;
use super::shop_fit::ShopFit;
use crate::cure::TemperatureCurve;
use crate::material::{Catalogue, Stage};
use crate::units::{Celsius, DosePercent};
use nalgebra::DVector;
use proptest::prelude::*;
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};
use rand_distr::{Distribution, StandardNormal};
use std::sync::Arc;

const STEPS: usize = 60_000;
const BURN_IN: usize = 5_000;

/// Twenty looks at gel and opening, at three temperatures and two doses, half as slow again as the label.
fn looks() -> Vec<Look> {
    let mut random = StdRng::seed_from_u64(19);
    let mut looks = Vec::new();
    for i in 0..20 {
        let (celsius, percent) = ([16.0, 20.0, 25.0][i % 3], [0.8, 1.4][i % 2]);
        let (stage, label_h) = if i % 4 < 2 { (Stage::Gel, 0.5) } else { (Stage::NextLayerOpens, 55.0 / 60.0) };
        let off: f64 = StandardNormal.sample(&mut random);
        let hours =
            1.5 * label_h * 2.2f64.powf((20.0 - celsius) / 10.0) * (1.0f64 / percent).powf(0.8) * (0.1 * off).exp();
        looks.push(Look {
            stage,
            after_h: Some(hours * random.random_range(0.85..0.98)),
            by_h: Some(hours * random.random_range(1.02..1.15)),
            bench: Arc::new(TemperatureCurve::constant(Celsius::new(celsius).unwrap())),
            dose: DosePercent::new(percent).ok(),
            own_heat: 0.0,
            guessed: false,
        });
    }
    looks
}

/// Means and standard deviations of a random walk (Metropolis & others 1953), its steps scaled by the covariance as usual.
fn sampled(shape: Shape, fit: &Fit, shop: &ShopFit, prior: &Prior) -> Vec<(f64, f64)> {
    let mut random = StdRng::seed_from_u64(23);
    let scale = 2.38 / (shape.len() as f64).sqrt();
    let root = fit.covariance.clone().cholesky().unwrap().l();
    let density = |at: &DVector<f64>| ln_posterior(shape, &shop.data, prior, at).value;
    let mut at = fit.at.clone();
    let mut here = density(&at);
    let (mut sum, mut squares) = (DVector::zeros(shape.len()), DVector::zeros(shape.len()));
    for step in 0..STEPS {
        let normal = DVector::from_fn(shape.len(), |_, _| StandardNormal.sample(&mut random));
        let next = &at + &root * normal * scale;
        let there = density(&next);
        if random.random_range(0.0f64..1.0).ln() < there - here {
            (at, here) = (next, there);
        }
        if step >= BURN_IN {
            sum += &at;
            squares += at.component_mul(&at);
        }
    }
    let n = (STEPS - BURN_IN) as f64;
    (0..shape.len()).map(|i| (sum[i] / n, (squares[i] / n - (sum[i] / n).powi(2)).sqrt())).collect()
}

#[test]
fn laplace_is_what_a_sampler_finds() {
    let catalogue = Catalogue::embedded();
    let model = ShopModel::of(catalogue.find("clear-polyester").unwrap().profile.thermal().unwrap());
    let shop = ShopFit::of(model, &looks()).unwrap();
    let (shape, prior) = (shop.model.shape(), shop.model.prior());
    for (i, (mean, sd)) in sampled(shape, &shop.fit, &shop, &prior).into_iter().enumerate() {
        let (at, by_laplace) = (shop.fit.at[i], shop.fit.sd(i));
        println!("parameter {i}: sampler {mean:.4} ± {sd:.4}, Laplace {at:.4} ± {by_laplace:.4}");
        assert!((mean - at).abs() < 0.35 * sd, "parameter {i}: {mean} {at} ± {sd}");
        assert!((by_laplace / sd - 1.0).abs() < 0.2, "parameter {i}: {by_laplace} {sd}");
    }
}

/// Whatever somebody may have written down: true, false and contradictory.
fn any_looks() -> impl Strategy<Value = Vec<Look>> {
    let stage = prop::sample::select(&Stage::ALL[..]);
    let ends = (0.001f64..300.0, 1.0f64..4.0, 0u8..3);
    let look = (stage, ends, 5.0f64..35.0, prop::option::of(0.3f64..4.0), any::<bool>());
    let look = look.prop_map(|(stage, (after, wide, open), celsius, percent, guessed)| Look {
        stage,
        after_h: (open != 1).then_some(after),
        by_h: (open != 2).then_some(after * wide),
        bench: Arc::new(TemperatureCurve::constant(Celsius::new(celsius).unwrap())),
        dose: percent.and_then(|percent| DosePercent::new(percent).ok()),
        own_heat: 0.0,
        guessed,
    });
    prop::collection::vec(look, 0..14)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn any_looks_are_fitted(looks in any_looks(), epoxy in any::<bool>()) {
        let catalogue = Catalogue::embedded();
        let name = if epoxy { "slow-epoxy" } else { "clear-polyester" };
        let model = ShopModel::of(catalogue.find(name).unwrap().profile.thermal().unwrap());
        let fit = ShopFit::of(model, &looks).unwrap();
        for stage in 0..fit.model.stages.len() {
            let (factor, sd) = fit.factor(stage);
            prop_assert!(factor.is_finite() && factor > 0.0 && sd.is_finite() && fit.spread_of(stage) > 0.0);
            prop_assert!(fit.doubt(stage).sd(0.7, 0.3, 0.1).is_finite());
        }
        for place in 0..fit.looks() {
            let insight = fit.insight(place);
            prop_assert!(insight.residual.is_finite() && insight.pull.is_finite() && (0.0..=1.0).contains(&insight.trust));
        }
    }
}

//! How a material is made ready: a dose of catalyst, a ratio of two parts, or nothing.

use super::profile::Figure;
use crate::units::{DosePercent, GramsPerEq, GramsPerMl, Hours, Millimetres};
use serde::Serialize;

/// Parts of A to parts of B.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Ratio {
    pub a: f64,
    pub b: f64,
}

/// How the material is made ready.
#[derive(Debug, Clone, PartialEq)]
pub enum Mixing {
    /// A small dose of catalyst starts the cure; the dose sets the speed.
    Catalysed {
        min: Figure<DosePercent>,
        usual: Figure<DosePercent>,
        max: Figure<DosePercent>,
        catalyst_density: Figure<GramsPerMl>,
        /// Instead of the usual dose, where the dose follows the layer.
        dose_rule: Option<Box<DoseRule>>,
    },
    /// Two parts in a fixed ratio; never changed to change the speed.
    TwoPart {
        by_weight: Figure<Ratio>,
        by_volume: Figure<Ratio>,
        density_a: Figure<GramsPerMl>,
        density_b: Figure<GramsPerMl>,
        /// What the ratio by weight was worked out from, where the label gives it so.
        equivalents: Option<Equivalents>,
    },
    /// Used as it comes.
    OnePart,
}

/// How the dose of one layer follows its depth, and what lies below it. A deep layer and a warm bed keep their heat, so
/// they take less.
#[derive(Debug, Clone, PartialEq)]
pub struct DoseRule {
    /// Doses of single layers, at least one; the depth rises, the dose never does.
    pub by_depth: Vec<DepthDose>,
    pub warm_stack: Option<WarmStack>,
}

/// The dose of a single layer of this depth.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct DepthDose {
    #[serde(rename = "depth_mm")]
    pub depth: Figure<Millimetres>,
    #[serde(rename = "dose_percent")]
    pub dose: Figure<DosePercent>,
}

/// What a layer takes that is poured onto warm ones.
#[derive(Debug, Clone, PartialEq)]
pub struct WarmStack {
    /// On the dose of the second, third, … layer, the last one for all further ones; at least one. Each is above 0, at
    /// most 1, and no larger than the one before it.
    pub factors: Vec<Figure<f64>>,
    /// How long after its pour a layer counts as warm.
    pub warm_for: Figure<Hours>,
}

/// The equivalent weights of an epoxy resin and its amine hardener.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Equivalents {
    /// EEW of part A.
    pub epoxide: Figure<GramsPerEq>,
    /// AHEW of part B: grams that hold one mole of amine hydrogen.
    pub hydrogen: Figure<GramsPerEq>,
}

impl DoseRule {
    /// The dose in percent of a single layer `depth_mm` deep: linear in ln(depth) and ln(dose) between the points, held
    /// outside them.
    pub fn percent_at(&self, depth_mm: f64) -> f64 {
        let after = self.by_depth.partition_point(|at| at.depth.value.get() <= depth_mm);
        let last = self.by_depth.len() - 1;
        let [below, above] = [after.saturating_sub(1), after.min(last)].map(|i| {
            let DepthDose { depth, dose } = self.by_depth[i];
            (depth.value.get(), dose.value.get())
        });
        if below == above {
            return below.1;
        }
        below.1 * (above.1 / below.1).powf((depth_mm / below.0).ln() / (above.0 / below.0).ln())
    }
}

impl WarmStack {
    /// What the dose of a single layer is multiplied by for one that is poured onto `warm_below` warm layers.
    pub fn factor(&self, warm_below: u32) -> f64 {
        let mut so_far = self.factors.iter().zip(0..warm_below);
        so_far.next_back().map_or(1.0, |(factor, _)| factor.value)
    }
}

impl Equivalents {
    /// Parts of B to 100 parts of A by weight, one amine hydrogen for each epoxide group: AHEW · 100 / EEW (textbook
    /// stoichiometry of epoxy and amine).
    pub fn by_weight(&self) -> Ratio {
        Ratio { a: 100.0, b: self.hydrogen.value.get() * 100.0 / self.epoxide.value.get() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::{Catalogue, Provenance};

    fn figure<T>(value: T) -> Figure<T> {
        Figure { value, from: Provenance::Label }
    }

    fn point(depth_mm: f64, percent: f64) -> DepthDose {
        DepthDose {
            depth: figure(Millimetres::new(depth_mm).unwrap()),
            dose: figure(DosePercent::new(percent).unwrap()),
        }
    }

    #[test]
    fn between_two_depths_the_dose_follows_a_power_of_the_depth() {
        let rule = DoseRule { by_depth: vec![point(4.0, 1.6), point(16.0, 0.4)], warm_stack: None };
        for (depth, dose) in [(1.0, 1.6), (4.0, 1.6), (8.0, 0.8), (16.0, 0.4), (50.0, 0.4)] {
            assert!((rule.percent_at(depth) - dose).abs() < 1e-12, "{depth}: {}", rule.percent_at(depth));
        }
        let single = DoseRule { by_depth: vec![point(4.0, 1.6)], warm_stack: None };
        assert!([1.0, 4.0, 9.0].iter().all(|depth| (single.percent_at(*depth) - 1.6).abs() < 1e-12));
    }

    #[test]
    fn the_last_factor_of_a_warm_stack_holds_for_all_further_layers() {
        let stack =
            WarmStack { factors: [0.8, 0.6, 0.4].map(figure).to_vec(), warm_for: figure(Hours::new(3.0).unwrap()) };
        let factors: Vec<f64> = (0..6).map(|below| stack.factor(below)).collect();
        assert_eq!(factors, [1.0, 0.8, 0.6, 0.4, 0.4, 0.4]);
    }

    #[test]
    fn a_deeper_layer_never_takes_more() {
        let catalogue = Catalogue::embedded();
        let rule = catalogue.find("clear-polyester").unwrap().profile.dose_rule().unwrap();
        let doses: Vec<f64> = (1..=400).map(|tenth| rule.percent_at(f64::from(tenth) / 10.0)).collect();
        assert!(doses.array_windows().all(|[shallow, deep]| deep <= shallow));
    }
}

//! Depth against dose, or against the bench where there is no dose to choose: one point at a time, so that whoever has
//! threads can share them out.

use super::material_heat::{LayerAsk, MaterialHeat};
use crate::cure::TemperatureCurve;
use crate::material::{Mixing, Profile, Stage, ThermalCure};
use crate::units::{Celsius, DosePercent, Millimetres};

/// Thinnest and deepest layer looked at where the profile has no limits, mm. Own working values.
const THIN_MM: f64 = 3.0;
const DEEP_MM: f64 = 30.0;

/// How far beyond the deepest layer of the profile, or the one asked for, is looked.
const BEYOND: f64 = 1.5;

/// From the least to the most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span<T> {
    pub least: T,
    pub most: T,
}

/// What varies from column to column.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Across {
    Dose(Span<DosePercent>),
    /// Resin and bench at one temperature.
    Bench(Span<Celsius>),
}

/// Layers to look at, each by itself: depths down, doses or temperatures across, evenly spaced.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweepGrid {
    pub depths: Span<Millimetres>,
    pub across: Across,
    /// What does not vary, of it and of the depth.
    pub ask: LayerAsk,
    /// Rows, and columns; at least 2.
    pub steps: usize,
}

/// What one layer by itself comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SweepCell {
    pub ask: LayerAsk,
    pub peak_c: f64,
    /// From its pour.
    pub peak_h: f64,
    /// From its pour; `None` where it never gels.
    pub gel_h: Option<f64>,
    pub resolved: bool,
}

impl SweepGrid {
    /// What is worth looking at round `ask`: the depths and doses of the profile and somewhat deeper ones, or all
    /// temperatures at which its times hold. `None` for a material that only light sets.
    pub fn around(profile: &Profile, ask: LayerAsk, steps: usize) -> Option<Self> {
        let across = match &profile.mixing {
            Mixing::Catalysed { min, max, .. } => Across::Dose(Span { least: min.value, most: max.value }),
            Mixing::TwoPart { .. } | Mixing::OnePart => Across::Bench(benches(profile.thermal()?)),
        };
        Some(Self { depths: depths(profile, ask.depth), across, ask, steps: steps.max(2) })
    }

    /// Every layer of the grid, row by row, the thinnest first.
    pub fn asks(&self) -> Vec<LayerAsk> {
        let depths = spaced(self.depths, self.steps, Millimetres::new);
        let row = |depth: Millimetres| self.columns().into_iter().map(move |column| LayerAsk { depth, ..column });
        depths.into_iter().flat_map(row).collect()
    }

    /// One row, all of it at the depth asked for.
    fn columns(&self) -> Vec<LayerAsk> {
        match self.across {
            Across::Dose(span) => {
                let doses = spaced(span, self.steps, DosePercent::new);
                doses.into_iter().map(|dose| LayerAsk { dose: Some(dose), ..self.ask }).collect()
            }
            Across::Bench(span) => {
                let benches = spaced(span, self.steps, Celsius::new);
                benches.into_iter().map(|start| LayerAsk { start, ..self.ask }).collect()
            }
        }
    }
}

impl SweepCell {
    /// Follows `ask` on a bench that stays at the temperature of the resin as it is poured.
    pub fn of(material: &MaterialHeat, ask: LayerAsk) -> Self {
        let heat = material.layer(&ask, &TemperatureCurve::constant(ask.start));
        let gel = heat.stages.iter().find(|stage| stage.stage == Stage::Gel).and_then(|stage| stage.at_h);
        Self {
            ask,
            peak_c: heat.peak_c,
            peak_h: heat.peak_at_h - heat.poured_h,
            gel_h: gel.map(|at_h| at_h - heat.poured_h),
            resolved: heat.resolved,
        }
    }
}

/// The depths of layers that are worth looking at round one of `depth`.
fn depths(profile: &Profile, depth: Millimetres) -> Span<Millimetres> {
    let limits = &profile.layer_depth;
    let least = limits.min.map_or(THIN_MM, |min| min.value.get()).min(depth.get() / BEYOND);
    let most = limits.max.map_or(DEEP_MM, |max| max.value.get()).max(depth.get()) * BEYOND;
    let mm = |value| Millimetres::new(value).unwrap_or(depth);
    Span { least: mm(least), most: mm(most) }
}

/// The temperatures at which the profile's times hold.
fn benches(cure: &ThermalCure) -> Span<Celsius> {
    Span { least: cure.floor.value, most: cure.ceiling.value }
}

/// `steps` values from the least to the most, both of them among these.
fn spaced<T: Copy + Into<f64>, E>(span: Span<T>, steps: usize, new: fn(f64) -> Result<T, E>) -> Vec<T> {
    let (least, most): (f64, f64) = (span.least.into(), span.most.into());
    let last = steps.saturating_sub(1);
    let at = |step: usize| match step {
        0 => span.least,
        step if step == last => span.most,
        // Between two that are possible.
        step => new(least + (most - least) * step as f64 / last as f64).unwrap_or(span.least),
    };
    (0..steps).map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::Catalogue;

    fn grid(material: &str, depth_mm: f64, steps: usize) -> Option<SweepGrid> {
        let catalogue = Catalogue::embedded();
        let depth = Millimetres::new(depth_mm).unwrap();
        let ask = LayerAsk { depth, dose: None, start: Celsius::ROOM };
        SweepGrid::around(&catalogue.find(material).unwrap().profile, ask, steps)
    }

    #[test]
    fn a_catalysed_material_is_swept_over_depth_and_dose() {
        let grid = grid("clear-polyester", 10.0, 4).unwrap();
        let asks = grid.asks();
        assert_eq!(asks.len(), 16);
        assert!(asks.iter().all(|ask| ask.start == Celsius::ROOM));
        let row: Vec<(f64, f64)> = asks[..4].iter().map(|ask| (ask.depth.get(), ask.dose.unwrap().get())).collect();
        assert_eq!(row, [(3.0, 0.5), (3.0, 1.0), (3.0, 1.5), (3.0, 2.0)], "the profile's own range");
        assert!((asks[15].depth.get() - 30.0).abs() < 1e-12, "half as deep again as the profile's deepest");
    }

    #[test]
    fn a_two_part_material_is_swept_over_depth_and_bench() {
        let asks = grid("deep-pour-epoxy", 20.0, 3).unwrap().asks();
        assert!(asks.iter().all(|ask| ask.dose.is_none()));
        let starts: Vec<f64> = asks[..3].iter().map(|ask| ask.start.get()).collect();
        assert!(starts[0] < starts[1] && starts[1] < starts[2]);
    }

    #[test]
    fn the_depth_asked_for_lies_within() {
        for depth_mm in [0.5, 10.0, 300.0] {
            let Span { least, most } = grid("clear-polyester", depth_mm, 2).unwrap().depths;
            assert!(least.get() < depth_mm && most.get() > depth_mm, "{least} {most}");
        }
    }

    #[test]
    fn what_only_light_sets_is_not_swept() {
        assert_eq!(grid("uv-resin", 3.0, 5), None);
    }
}

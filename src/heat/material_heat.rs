//! A material profile made into what the heat model needs.
//!
//! The stage times of a profile hold for its reference layer or its reference cup, which heat themselves. Followed once at
//! the reference temperature, they tell what each stage needs of the resin itself: so many hours of cure age at the
//! resin's own temperature. Any other layer has reached a stage when its resin has gained as much.

use super::calibrate::{CupTest, NoSuchMaterial, calibrate};
use super::cup::{Cup, CupCourse};
use super::hollow::Hollow;
use super::kinetics::{ConversionLimit, Kinetics, Resin};
use super::pile::{LayerHeat, LayerPour, Pile, StageClock, SurfaceOf};
use super::surroundings::Surroundings;
use crate::cure::{CureRule, GAS_CONSTANT_KJ, RateLaw, TemperatureCurve};
use crate::material::{HeatFigures, Profile, ReferenceAmount, Stage, ThermalCure};
use crate::units::{Celsius, DosePercent, KjPerMol, Millimetres};

/// A layer by itself is followed for at most this long, h.
const LONGEST_H: f64 = 240.0;

/// Why nothing can be said of a material's heat.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NoHeat {
    #[error("its profile has no [heat] table")]
    NoFigures,
    #[error("light sets it: it has no clock, and its heat comes all at once")]
    Light,
    #[error(transparent)]
    NoSuchMaterial(#[from] NoSuchMaterial),
}

/// A material as the heat model takes it: calibrated, and its stages as ages of the resin itself.
#[derive(Debug, Clone, PartialEq)]
pub struct MaterialHeat {
    /// At the reference dose.
    resin: Resin,
    cure: ThermalCure,
    figures: HeatFigures,
    /// At the reference dose; of all stages but the pot life.
    clocks: Vec<StageClock>,
    /// Of the pot life: its rule, and the age of the resin in its own cup.
    pot_life: Option<(CureRule, f64)>,
}

/// One wide layer by itself, on a thin polyethylene base on the bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayerAsk {
    pub depth: Millimetres,
    /// Catalysed materials only; `None` for the reference dose.
    pub dose: Option<DosePercent>,
    /// Of the resin as it is poured.
    pub start: Celsius,
}

impl MaterialHeat {
    /// Calibrates the cup of `profile` and follows its reference layer, or reference cup, to find what each stage needs.
    pub fn of(profile: &Profile) -> Result<Self, NoHeat> {
        let cure = profile.thermal().ok_or(NoHeat::Light)?.clone();
        let figures = cure.heat.clone().ok_or(NoHeat::NoFigures)?;
        let reference = cure.reference_temperature.value;
        let limit = figures.stops.map(|stops| ConversionLimit {
            at_reference: stops.at_reference.value.get(),
            rise_per_c: stops.rise.value.get(),
        });
        let law = reaction_law(figures.law.unwrap_or(cure.law).value, reference);
        let blank = Resin {
            density_kg_per_m3: profile.density.value.get() * 1000.0,
            specific_heat_j_per_kgk: figures.specific_heat.value.get() * 1000.0,
            conductivity_w_per_mk: figures.conductivity.value.get(),
            kinetics: Kinetics { k1_per_s: 0.0, k2_per_s: 0.0, heat_j_per_kg: 0.0, law, reference, limit },
        };
        let test = CupTest {
            mass_g: figures.cup_mass.value.get(),
            start: figures.cup_start.value,
            gel_s: figures.gel.value.seconds(),
            peak_after_s: figures.peak_after.value.seconds(),
            peak: figures.peak.value,
            gel_conversion: figures.gel_conversion.value.get(),
        };
        let cup = calibrate(&test, blank)?;
        let slower = cure.slower_at(figures.cup_dose.map(|dose| dose.value));
        let resin = Resin { kinetics: cup.kinetics.times(slower), ..cup };
        let mut heat = Self { resin, cure, figures, clocks: Vec::new(), pot_life: None };
        heat.clocks = heat.needs();
        heat.pot_life = heat.pot_life_age();
        Ok(heat)
    }

    /// The resin with the speed of this dose.
    pub fn resin(&self, dose: Option<DosePercent>) -> Resin {
        Resin { kinetics: self.resin.kinetics.times(1.0 / self.cure.slower_at(dose)), ..self.resin }
    }

    /// What each stage but the pot life needs at this dose.
    pub fn clocks(&self, dose: Option<DosePercent>) -> Vec<StageClock> {
        let longer = self.cure.slower_at(dose);
        self.clocks.iter().map(|clock| StageClock { age_h: clock.age_h * longer, ..*clock }).collect()
    }

    /// Hotter than this a casting yellows or cracks, by the profile.
    pub fn peak_limit(&self) -> Celsius {
        self.figures.peak_limit.value
    }

    /// Follows one layer by itself until it is calm, on `bench` from its hour 0.
    pub fn layer(&self, ask: &LayerAsk, bench: &TemperatureCurve) -> LayerHeat {
        let mut pile = wide(ask.depth, bench.clone());
        pile.pour(self.pour_of(ask));
        pile.run_until_calm(LONGEST_H);
        pile.layers().swap_remove(0)
    }

    /// Only how hot one layer by itself gets, °C, and whether that is resolved: for charts and searches.
    pub fn layer_peak(&self, ask: &LayerAsk, bench: &TemperatureCurve) -> (f64, bool) {
        let mut pile = wide(ask.depth, bench.clone());
        pile.pour(LayerPour { clocks: Vec::new(), ..self.pour_of(ask) });
        pile.run_past_peak(LONGEST_H);
        let heat = pile.layers().swap_remove(0);
        (heat.peak_c, heat.resolved)
    }

    fn pour_of(&self, ask: &LayerAsk) -> LayerPour {
        LayerPour {
            to_m: ask.depth.get() / 1000.0,
            resin: self.resin(ask.dose),
            start_c: ask.start.get(),
            clocks: self.clocks(ask.dose),
        }
    }

    /// Follows `mass_g` left in its cup, from hour 0 of `bench`.
    pub fn cup(&self, mass_g: f64, dose: Option<DosePercent>, bench: &TemperatureCurve) -> CupCourse {
        Cup { mass_g }.course(&self.resin(dose), self.figures.gel_conversion.value.get(), bench, 0.0)
    }

    /// How long a batch of `mass_g` stays usable in its cup, hours; `None` where the profile has no pot life, or it never
    /// ends at this temperature.
    pub fn pot_life_h(&self, mass_g: f64, dose: Option<DosePercent>, bench: &TemperatureCurve) -> Option<f64> {
        let (rule, age_h) = self.pot_life?;
        self.cup(mass_g, dose, bench).reach_h(&rule, age_h * self.cure.slower_at(dose))
    }

    /// The mass for which the pot life of the profile holds.
    pub fn pot_life_mass_g(&self) -> f64 {
        match self.cure.reference_amount {
            ReferenceAmount::Mass(mass) => mass.value.get(),
            ReferenceAmount::Depth(_) => self.figures.cup_mass.value.get(),
        }
    }

    /// The clocks of the reference layer or cup, each with the age its resin has when the profile says the stage is there.
    fn needs(&self) -> Vec<StageClock> {
        let reference = self.cure.reference_temperature.value;
        let bench = TemperatureCurve::constant(reference);
        let stages = self.cure.stages.iter().filter(|time| time.stage != Stage::PotLife);
        let mut clocks: Vec<(f64, StageClock)> = stages
            .map(|time| {
                let clock = StageClock {
                    stage: time.stage,
                    rule: self.cure.rule_of(time),
                    age_h: f64::INFINITY,
                    conversion: time.conversion.map(|share| share.value.get()),
                    at: looked_at(time.stage),
                };
                (time.after.value.get(), clock)
            })
            .collect();
        match self.cure.reference_amount {
            ReferenceAmount::Mass(mass) => {
                let course = self.cup(mass.value.get(), None, &bench);
                for (after_h, clock) in &mut clocks {
                    clock.age_h = course.age_h(&clock.rule, *after_h);
                }
            }
            ReferenceAmount::Depth(depth) => {
                let ask = LayerAsk { depth: depth.value, dose: None, start: reference };
                let mut pile = wide(ask.depth, bench);
                let never = clocks.iter().map(|(_, clock)| *clock).collect();
                pile.pour(LayerPour { clocks: never, ..self.pour_of(&ask) });
                let mut in_order: Vec<usize> = (0..clocks.len()).collect();
                in_order.sort_by(|a, b| clocks[*a].0.total_cmp(&clocks[*b].0));
                for place in in_order {
                    let (after_h, clock) = &mut clocks[place];
                    pile.run_until_calm(*after_h);
                    // From there on the resin is as warm as the bench, where an hour is an hour of age.
                    clock.age_h = pile.ages_h(0)[place] + (*after_h - pile.now_h()).max(0.0);
                }
            }
        }
        clocks.into_iter().map(|(_, clock)| clock).collect()
    }

    fn pot_life_age(&self) -> Option<(CureRule, f64)> {
        let time = self.cure.stage(Stage::PotLife)?;
        let rule = self.cure.rule_of(time);
        let bench = TemperatureCurve::constant(self.cure.reference_temperature.value);
        Some((rule, self.cup(self.pot_life_mass_g(), None, &bench).age_h(&rule, time.after.value.get())))
    }
}

/// A wide vessel on the bench: what leaves through its sides does not count.
fn wide(depth: Millimetres, bench: TemperatureCurve) -> Pile {
    Pile::new(Hollow::slab(depth), Surroundings::ON_THE_BENCH, bench, 0.0, Vec::new())
}

/// Where a stage is looked at: the next layer and a dry finger meet the top, everything else needs all of the layer.
fn looked_at(stage: Stage) -> SurfaceOf {
    match stage {
        Stage::TackFree | Stage::NextLayerOpens | Stage::NextLayerCloses => SurfaceOf::Top,
        Stage::PotLife | Stage::Gel | Stage::Demould | Stage::FullCure => SurfaceOf::Slowest,
    }
}

/// The rule by which the reaction follows its own heat. A q10 is a rule for benches: carried on to the temperatures of an
/// exotherm it would have the rate grow without bounds, so there the activation energy takes its place that has the same
/// ratio over the ten degrees above the reference, `E = R ln Q / (1/T1 − 1/T2)`.
fn reaction_law(law: RateLaw, reference: Celsius) -> RateLaw {
    let RateLaw::Q10(q) = law else { return law };
    let (low, high) = (reference.kelvin(), reference.kelvin() + 10.0);
    let energy = GAS_CONSTANT_KJ * q.get().ln() / (1.0 / low - 1.0 / high);
    // A q10 of 1 has no activation energy, which no KjPerMol can be.
    KjPerMol::new(energy).map_or(law, RateLaw::Arrhenius)
}

#[cfg(test)]
mod tests;

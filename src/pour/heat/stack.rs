//! A piece in the model while it is poured, layer on layer.

use super::wait::{Waited, wait_for_next};
use crate::cure::TemperatureCurve;
use crate::heat::{Fineness, LayerPour, MaterialHeat, Pile};
use crate::material::{Profile, Stage};
use crate::units::DosePercent;

/// The pile with what its next pour needs. Cloning it is cheap: try a pour on a copy.
#[derive(Debug, Clone)]
pub(in crate::pour) struct Stack<'a> {
    pub pile: Pile,
    profile: &'a Profile,
    material: &'a MaterialHeat,
    bench: &'a TemperatureCurve,
    last: Option<Poured>,
}

/// The uppermost layer.
#[derive(Debug, Clone, Copy)]
struct Poured {
    dose: Option<DosePercent>,
}

impl<'a> Stack<'a> {
    pub fn new(pile: Pile, profile: &'a Profile, material: &'a MaterialHeat, bench: &'a TemperatureCurve) -> Self {
        Self { pile, profile, material, bench, last: None }
    }

    /// The same, followed more or less finely.
    #[must_use]
    pub fn with(self, fineness: Fineness) -> Self {
        Self { pile: self.pile.with(fineness), ..self }
    }

    /// Follows it until the last layer can take the next one: once its window opens, or with `cold` once it has set and cooled.
    pub fn wait(&mut self, cold: bool) -> Waited {
        match self.last {
            Some(Poured { dose }) => wait_for_next(&mut self.pile, self.profile, dose, self.bench, cold),
            None => Waited::Begun,
        }
    }

    /// Pours a layer now, as warm as the bench; only the stages that `followed` names are looked at.
    pub fn pour(&mut self, to_m: f64, dose: Option<DosePercent>, followed: fn(Stage) -> bool) {
        let start_c = self.bench.at(self.pile.now_h());
        let mut clocks = self.material.clocks(dose);
        clocks.retain(|clock| followed(clock.stage));
        self.pile.pour(LayerPour { to_m, resin: self.material.resin(dose), start_c, clocks });
        self.last = Some(Poured { dose });
    }

    /// What lies in the vessel already and gives off no heat any more, as warm as the bench.
    pub fn lay_cold(&mut self, to_m: f64) {
        let start_c = self.bench.at(self.pile.now_h());
        let mut resin = self.material.resin(None);
        resin.kinetics.heat_j_per_kg = 0.0;
        self.pile.pour(LayerPour { to_m, resin, start_c, clocks: Vec::new() });
    }
}

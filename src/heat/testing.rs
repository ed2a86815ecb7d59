//! An invented resin for the tests of this room.

use super::{Kinetics, Resin};
use crate::cure::RateLaw;
use crate::units::{Celsius, KjPerMol};

pub(super) fn celsius(c: f64) -> Celsius {
    Celsius::new(c).unwrap()
}

pub(super) fn resin(k2_per_s: f64, heat_j_per_kg: f64) -> Resin {
    Resin {
        density_kg_per_m3: 1150.0,
        specific_heat_j_per_kgk: 1700.0,
        conductivity_w_per_mk: 0.2,
        kinetics: Kinetics {
            k1_per_s: 1e-5,
            k2_per_s,
            heat_j_per_kg,
            law: RateLaw::Arrhenius(KjPerMol::new(52.95).unwrap()),
            reference: celsius(25.0),
            limit: None,
        },
    }
}

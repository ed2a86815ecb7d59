//! The invented resin of the reacting slabs.

use nightpour::cure::RateLaw;
use nightpour::heat::{Kinetics, Resin};
use nightpour::units::{Celsius, KjPerMol};

pub fn reacting() -> Resin {
    Resin {
        density_kg_per_m3: 1150.0,
        specific_heat_j_per_kgk: 1700.0,
        conductivity_w_per_mk: 0.2,
        kinetics: Kinetics {
            k1_per_s: 1e-5,
            k2_per_s: 2e-4,
            heat_j_per_kg: 300e3,
            law: RateLaw::Arrhenius(KjPerMol::new(52.95).unwrap()),
            reference: Celsius::new(25.0).unwrap(),
            limit: None,
        },
    }
}

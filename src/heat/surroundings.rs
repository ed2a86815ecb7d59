//! What carries the heat away: air, radiation, walls, the bench.

use crate::units::CELSIUS_ZERO_K;

/// Stefan-Boltzmann constant, W/m²K⁴: exact since the 2019 SI (CODATA 2018).
const STEFAN_BOLTZMANN: f64 = 5.670_374_419e-8;

/// Newton steps for the temperature of a radiating face: it converges in two or three.
const FACE_STEPS: u32 = 6;

/// An open face, or the outside of a wall.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    pub convection_w_per_m2k: f64,
    /// 0 for none; it radiates to surroundings at the bench's temperature.
    pub emissivity: f64,
}

/// What the vessel is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallMaterial {
    Glass,
    Polyethylene,
    Silicone,
    Wood,
}

/// A wall as a thermal mass.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wall {
    pub material: WallMaterial,
    pub thickness_m: f64,
}

/// Everything round the resin.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surroundings {
    /// The open top.
    pub top: Face,
    /// Under the vessel's base, or under the resin itself where there is no base.
    pub below: Face,
    pub base: Option<Wall>,
    /// Outside of the side wall; without effect where the hollow has no wall area.
    pub side: Face,
    pub side_wall: Option<Wall>,
}

impl Surroundings {
    /// On a bench in still air, in a thin and light vessel: the careful assumption where nothing is known of it.
    ///
    /// Free convection in air is 2 to 25 W/m²K (textbook range); 5 is what the textbook correlation for a warm plate facing up
    /// (Nu = 0.54 Ra^1/4) gives for one of 10 cm that is 20 °C over the room. A wooden bench takes about as much from below
    /// (own working value). Emissivity 0.9 of resin and of most vessels: common practice.
    pub const ON_THE_BENCH: Surroundings = Surroundings {
        top: Face { convection_w_per_m2k: 5.0, emissivity: 0.9 },
        below: Face { convection_w_per_m2k: 5.0, emissivity: 0.0 },
        base: Some(Wall { material: WallMaterial::Polyethylene, thickness_m: 0.002 }),
        side: Face { convection_w_per_m2k: 5.0, emissivity: 0.9 },
        side_wall: Some(Wall { material: WallMaterial::Polyethylene, thickness_m: 0.002 }),
    };
}

impl WallMaterial {
    /// W/mK: handbook values, from memory.
    pub const fn conductivity_w_per_mk(self) -> f64 {
        match self {
            WallMaterial::Glass => 1.0,
            WallMaterial::Polyethylene => 0.4,
            WallMaterial::Silicone => 0.2,
            WallMaterial::Wood => 0.14,
        }
    }

    /// Density times specific heat, J/m³K: handbook values, from memory.
    pub const fn capacity_j_per_m3k(self) -> f64 {
        match self {
            WallMaterial::Glass => 2500.0 * 840.0,
            WallMaterial::Polyethylene => 950.0 * 1900.0,
            WallMaterial::Silicone => 1100.0 * 1300.0,
            WallMaterial::Wood => 600.0 * 1600.0,
        }
    }
}

/// What leaves through a face.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Loss {
    pub watts: f64,
    /// Per °C of the place behind the face.
    pub slope: f64,
    /// The face itself.
    pub face_c: f64,
}

impl Face {
    /// W/m²K at a face of `face_c` towards a room of `bench_c`: convection, and radiation as εσ(T² + T₀²)(T + T₀).
    pub(super) fn coefficient(&self, face_c: f64, bench_c: f64) -> f64 {
        let (hot, room) = (face_c + CELSIUS_ZERO_K, bench_c + CELSIUS_ZERO_K);
        self.convection_w_per_m2k + self.emissivity * STEFAN_BOLTZMANN * (hot * hot + room * room) * (hot + room)
    }

    /// The loss of a place at `t_c` behind a face of `area_m2` that a conductance of `behind_w_per_k` leads to.
    pub(super) fn loss(&self, t_c: f64, bench_c: f64, area_m2: f64, behind_w_per_k: f64) -> Loss {
        let mut face_c = t_c;
        let mut out_slope = 0.0;
        for _ in 0..FACE_STEPS {
            let hot = face_c + CELSIUS_ZERO_K;
            let out = area_m2 * self.coefficient(face_c, bench_c) * (face_c - bench_c);
            out_slope = area_m2 * (self.convection_w_per_m2k + 4.0 * self.emissivity * STEFAN_BOLTZMANN * hot.powi(3));
            let step = (behind_w_per_k * (t_c - face_c) - out) / (behind_w_per_k + out_slope);
            face_c += step;
            // Without radiation the first step is exact.
            if self.emissivity == 0.0 || step.abs() < 1e-10 {
                break;
            }
        }
        Loss {
            watts: behind_w_per_k * (t_c - face_c),
            slope: behind_w_per_k * out_slope / (behind_w_per_k + out_slope),
            face_c,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn radiation_of_a_face_at_room_temperature() {
        // 4 ε σ T³ at 25 °C and ε = 0.9 is about 5.4 W/m²K (computed from the constant; textbook linearisation).
        let face = Face { convection_w_per_m2k: 0.0, emissivity: 0.9 };
        assert!((face.coefficient(25.0, 25.0) - 5.41).abs() < 0.01);
    }

    #[test]
    fn what_reaches_a_face_leaves_it() {
        let face = Face { convection_w_per_m2k: 5.0, emissivity: 0.9 };
        let loss = face.loss(120.0, 20.0, 0.01, 0.4);
        let leaves = 0.01 * face.coefficient(loss.face_c, 20.0) * (loss.face_c - 20.0);
        assert!((loss.watts - leaves).abs() < 1e-9 * leaves);
        let nudged = face.loss(120.001, 20.0, 0.01, 0.4);
        assert!(((nudged.watts - loss.watts) / 0.001 / loss.slope - 1.0).abs() < 1e-4);
    }

    #[test]
    fn an_insulated_face_keeps_everything() {
        let closed = Face { convection_w_per_m2k: 0.0, emissivity: 0.0 };
        let loss = closed.loss(80.0, 20.0, 1.0, 40.0);
        assert!(loss.watts.abs() < 1e-12 && loss.slope.abs() < 1e-12 && (loss.face_c - 80.0).abs() < 1e-12);
    }
}

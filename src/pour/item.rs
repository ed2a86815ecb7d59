//! What is embedded: how much resin it displaces, and where.

use super::mesh::Mesh;
use super::monotone::Monotone;
use crate::text::PlainText;
use crate::units::{Celsius, GramsPerMl, JPerGK, Level, Millilitres, Millimetres};
use std::sync::Arc;

/// The body of one item, from its own lowest point up.
#[derive(Debug, Clone)]
pub enum Solid {
    /// A volume spread evenly over a height.
    Even {
        volume: Millilitres,
        height: Millimetres,
    },
    Mesh(Arc<Mesh>),
    /// A mesh as the notebook keeps it: mL below against mm.
    Table(Arc<Monotone>),
}

/// How it is kept in its place while the resin is liquid.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fixing {
    /// Laid in: it floats where it is lighter than the resin.
    Loose,
    /// Pinned, glued or weighed down.
    Held,
}

/// One kind of embedded item.
#[derive(Debug, Clone)]
pub struct Item {
    pub name: PlainText,
    /// How many of it, all at the same place.
    pub count: u32,
    pub solid: Solid,
    /// Where its lowest point lies.
    pub from: Level,
    /// Laid onto the layer that ends at `from`: that level is then a boundary between layers.
    pub bedded: bool,
    pub fixing: Fixing,
    pub density: Option<GramsPerMl>,
    pub specific_heat: Option<JPerGK>,
    /// It must not get hotter than this.
    pub heat_limit: Option<Celsius>,
    /// Open pores: sealed before the pour.
    pub porous: bool,
}

impl Solid {
    pub fn height_mm(&self) -> f64 {
        match self {
            Solid::Even { height, .. } => height.get(),
            Solid::Mesh(mesh) => mesh.height_mm(),
            Solid::Table(curve) => curve.end(),
        }
    }

    pub fn volume_ml(&self) -> f64 {
        self.volume_below_ml(self.height_mm())
    }

    /// What of it lies below `height_mm` above its own lowest point.
    pub fn volume_below_ml(&self, height_mm: f64) -> f64 {
        match self {
            Solid::Even { volume, height } => volume.get() * (height_mm / height.get()).clamp(0.0, 1.0),
            Solid::Mesh(mesh) => mesh.volume_below_ml(height_mm),
            Solid::Table(curve) => curve.at(height_mm),
        }
    }
}

impl Item {
    /// How many of what: "5 × seedhead".
    pub fn counted(&self) -> String {
        if self.count > 1 { format!("{} × {}", self.count, self.name) } else { self.name.to_string() }
    }

    /// Where its highest point lies.
    pub fn to_mm(&self) -> f64 {
        self.from.get() + self.solid.height_mm()
    }

    /// What a millilitre of it takes to get a degree warmer, J/(mL K); `None` where that is not known.
    pub fn heat_capacity_j_per_ml_k(&self) -> Option<f64> {
        Some(self.density?.get() * self.specific_heat?.get())
    }

    /// What all of them displace below `level_mm`.
    pub fn displaced_below_ml(&self, level_mm: f64) -> f64 {
        f64::from(self.count) * self.solid.volume_below_ml(level_mm - self.from.get())
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use crate::pour::mesh::testing::cuboid;

    pub fn even(volume_ml: f64, height_mm: f64) -> Solid {
        Solid::Even { volume: Millilitres::new(volume_ml).unwrap(), height: Millimetres::new(height_mm).unwrap() }
    }

    /// An item of which only body, number and place matter.
    pub fn item(solid: Solid, count: u32, from_mm: f64) -> Item {
        Item {
            name: PlainText::new("seedhead"),
            count,
            solid,
            from: Level::new(from_mm).unwrap(),
            bedded: false,
            fixing: Fixing::Held,
            density: None,
            specific_heat: None,
            heat_limit: None,
            porous: false,
        }
    }

    fn close(got: f64, want: f64) {
        assert!((got - want).abs() < 1e-12, "got {got}, want {want}");
    }

    #[test]
    fn an_even_body_fills_evenly_and_no_further() {
        let body = even(6.0, 30.0);
        close(body.volume_below_ml(-1.0), 0.0);
        close(body.volume_below_ml(10.0), 2.0);
        close(body.volume_below_ml(99.0), 6.0);
        close(body.volume_ml(), 6.0);
    }

    #[test]
    fn a_mesh_and_its_table_are_the_same_body() {
        let mesh = Mesh::new(&cuboid([5.0, 5.0, 5.0], [15.0, 25.0, 35.0]), 1.0).unwrap();
        let table = Solid::Table(Arc::new(mesh.table()));
        let mesh = Solid::Mesh(Arc::new(mesh));
        for body in [&mesh, &table] {
            close(body.height_mm(), 30.0);
            close(body.volume_ml(), 6.0);
            close(body.volume_below_ml(10.0), 2.0);
            close(body.volume_below_ml(-3.0), 0.0);
            close(body.volume_below_ml(31.0), 6.0);
        }
    }

    #[test]
    fn all_of_an_item_displace_from_where_it_lies() {
        let shells = item(even(6.0, 30.0), 3, 5.0);
        close(shells.to_mm(), 35.0);
        close(shells.displaced_below_ml(5.0), 0.0);
        close(shells.displaced_below_ml(15.0), 6.0);
        close(shells.displaced_below_ml(40.0), 18.0);
    }
}

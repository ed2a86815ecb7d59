//! How a piece file becomes a [`Piece`].
//!
//! ```toml
//! name = "Shell-and-seedhead column"
//! material = "clear-polyester"     # a profile's name
//! bench_c = 18                     # optional: the bench to plan for
//! fill_mm = 40                     # the level to reach, above the inside of the floor
//! touching = ["backdrop paint"]    # optional: tried on scrap first
//!
//! [vessel]                         # one shape here, or [[vessel.section]] tables from the floor up, each with a shape
//! shape = "cylinder"               # and perhaps from_mm, where the one below ends
//! diameter_mm = 98                 # box: length_mm width_mm height_mm | cylinder: diameter_mm height_mm
//! height_mm = 48                   # tapered: bottom_diameter_mm top_diameter_mm height_mm
//!                                  # prism: sides across_flats_mm height_mm
//!                                  # sphere-part: diameter_mm starts_mm (0) height_mm
//!                                  # filled: water = [{ depth_mm = 10, water_ml = 48 }, …]
//! wall = "polyethylene"            # optional; of a stack in [vessel]: glass, polyethylene, silicone or wood
//! wall_mm = 2                      # needed with wall
//! base_mm = 3                      # wall_mm
//!
//! [[item]]
//! name = "scallop shell"
//! count = 3                        # 1; all at the same place
//! volume_ml = 12.5                 # or mass_g and density_g_per_ml, or water_before_ml and water_after_ml,
//! mass_g = 33                      # or mesh = "shell.stl" and scale (1 mm a unit); a mass beside a volume gives the density
//! bedded_at_mm = 10                # laid onto the layer that ends there; or from_mm, of a mesh also lift_mm
//! to_mm = 16                       # its top; a mesh has its own height
//! held = true                      # false
//! limit_c = 60                     # optional
//! specific_heat_j_per_gk = 0.9     # optional, where the density is known
//! porous = true                    # false
//!
//! [layers]                         # the tables from here on are optional, and so is what they hold unless it says more
//! min_mm = 4
//! max_mm = 10
//! count = 4                        # or depths_mm = [10, 10, 20], which make up the fill
//! levels_mm = [20]                 # where a layer has to end
//! cold_after = [4]                 # layers that set cold before the next
//! topping = true                   # false
//! next_layer_after = "1h"          # how soon the next layer should be able to follow
//!
//! [tint]
//! name = "blue-green dye"          # needed, as are kind and percent
//! kind = "dye"                     # dye, paste or powder
//! percent = 0.05                   # of the resin by mass
//! max_percent = 2                  # its label's own limit
//! test_cup = { depth_mm = 20, light_percent = 63, percent = 0.05 }   # percent: the piece's
//!
//! [supplies]
//! resin_on_hand_g = 900
//! reserve_percent = 5              # 5
//! cup_loss_g = 3                   # 3
//! drop_bottle = { drops = 50, weighed_g = 1.6 }
//!
//! [prices]
//! currency = "EUR"                 # needed with a price
//! resin_per_kg = 18.5
//! catalyst_per_kg = 60
//! tint_per_kg = 240
//!
//! [scale]
//! resin_digit_g = 0.1              # 0.1
//! catalyst_digit_g = 0.01          # the resin's
//! ```

mod body;
mod cut;
mod fit;
mod item;
mod layers;
mod mesh_path;
mod shape;
mod size;
mod supplies;
mod tint;
mod vessel;
mod walls;
mod water;

use super::item::Solid;
use super::piece::{Piece, Supplies};
use crate::material::MaterialId;
use crate::strict::{Field, Key, Mistake, Problem, Read, Reported, Spanned, Table};
use crate::units::Celsius;
use item::ItemRead;

const NAME: Key = Key::new("name", "\"Shell-and-seedhead column\"");
const MATERIAL: Key = Key::new("material", "\"clear-polyester\"");
const BENCH: Key = Key::new("bench_c", "18");
const FILL: Key = Key::new("fill_mm", "62");
const TOUCHING: Key = Key::new("touching", "[\"acrylic paint on the backdrop\"]");
const VESSEL: Key = Key::new("vessel", "[vessel]");
const ITEM: Key = Key::new("item", "[[item]]");
const LAYERS: Key = Key::new("layers", "[layers]");
const TINT: Key = Key::new("tint", "[tint]");
const SUPPLIES: Key = Key::new("supplies", "[supplies]");
const PRICES: Key = Key::new("prices", "[prices]");
const SCALE: Key = Key::new("scale", "[scale]");

const MOST_ITEMS: usize = 200;

/// A mesh a piece file asks for.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeshAsk<'a> {
    /// The item's place in the file, from 0.
    pub item: usize,
    /// As written: a path from the piece file on that leads nowhere above it, `/` between folders, ending in `.stl`.
    pub file: &'a str,
    /// Millimetres a unit of the file.
    pub scale: f64,
}

/// How a mesh is got at: the core opens no files. A mesh that cannot be had is told at its place in the piece file.
pub type LoadMesh<'a> = &'a dyn Fn(MeshAsk<'_>) -> Result<Solid, Mistake>;

/// What a piece file speaks of and does not hold itself.
#[derive(Clone, Copy)]
pub struct Sources<'a> {
    /// Finds the material somebody wrote.
    pub material: &'a dyn Fn(&str) -> Result<MaterialId, Mistake>,
    pub mesh: LoadMesh<'a>,
}

impl<'a> Sources<'a> {
    /// Any material there might be.
    pub fn with_meshes(mesh: LoadMesh<'a>) -> Self {
        Self { material: &nameable, mesh }
    }
}

/// Reads one piece file. The problems are in the order of the file; warnings do not stop the piece from being planned.
pub fn read_piece(source: &str, sources: Sources<'_>) -> Result<Read<Piece>, Vec<Problem>> {
    crate::strict::read(source, |top| piece(top, sources))
}

fn piece(top: &mut Table<'_>, sources: Sources<'_>) -> Result<Piece, Reported> {
    let name = top.required(NAME, Field::text);
    let material = top.required(MATERIAL, |field| field.parsed(sources.material));
    let bench = top.optional(BENCH, |field| field.quantity(Celsius::new));
    let fill = top.required(FILL, size::fill);
    let touching = top.optional(TOUCHING, Field::texts);
    let vessel = top.required(VESSEL, |field| field.table(vessel::read));
    let items = top.optional(ITEM, |field| {
        let mut number = 0..;
        let read = |table: &mut Table<'_>| Ok(item::read(table, number.next().unwrap_or_default(), sources.mesh));
        field.counted(0..=MOST_ITEMS)?.tables(read)
    });
    let layers = top.optional(LAYERS, |field| field.table(layers::read)).map(Option::unwrap_or_default);
    let tint = top.optional(TINT, |field| field.table(tint::read));
    let supplies = top.optional(SUPPLIES, |field| field.table(supplies::read));
    let prices = top.optional(PRICES, |field| field.table(supplies::prices));
    let scales = top.optional(SCALE, |field| field.table(supplies::scales));

    // What one table says is held against what the others say as far as each could be read.
    let level = match (&fill, &vessel) {
        (Ok(fill), Ok(read)) => Ok(fit::fill(top, fill, &read.vessel)),
        (Ok(fill), Err(_)) => Ok(*fill.get_ref()),
        (Err(reported), _) => Err(*reported),
    };
    let (items, unread) = readable(items);
    fit::items(top, vessel.as_ref().ok().map(|read| &read.vessel), level.ok(), &items);
    if let Ok(layers) = &layers {
        cut::check(top, layers, level.ok(), &items);
    }
    unread?;
    let vessel = vessel?;
    let (supplies, prices) = (supplies?.unwrap_or_else(supplies::usual), prices?.unwrap_or_default());
    Ok(Piece {
        name: name?.into_inner(),
        material: material?.into_inner(),
        vessel: vessel.vessel,
        walls: vessel.walls?,
        fill: level?,
        items: items.into_iter().map(|read| read.item).collect(),
        layers: layers?.wishes(),
        tint: tint?,
        supplies: Supplies { prices, ..supplies },
        scales: scales?.unwrap_or_else(supplies::usual_scales),
        bench: bench?.map(Spanned::into_inner),
        touching: touching?.unwrap_or_default(),
    })
}

fn nameable(text: &str) -> Result<MaterialId, Mistake> {
    MaterialId::meant(text)
        .map_err(|error| Mistake { what: "that cannot be a material".to_owned(), remedy: error.to_string() })
}

/// The items that could be read, and whether that was all of them.
fn readable(items: Result<Option<Vec<Result<ItemRead, Reported>>>, Reported>) -> (Vec<ItemRead>, Result<(), Reported>) {
    let mut all = items.as_ref().map(|_| ()).map_err(|reported| *reported);
    let mut read = Vec::new();
    for item in items.ok().flatten().unwrap_or_default() {
        match item {
            Ok(item) => read.push(item),
            Err(reported) => all = Err(reported),
        }
    }
    (read, all)
}

#[cfg(test)]
pub(super) mod tests;

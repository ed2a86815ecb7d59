//! How large one item is and what it weighs: by its volume, by weight, by the water it pushes up, or by a mesh.

use super::mesh_path;
use super::size::{self, LARGEST_ML};
use crate::pour::{LoadMesh, MeshAsk, Solid};
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table, typed};
use crate::units::{Grams, GramsPerMl, Millilitres};
use std::ops::Range;

const VOLUME: Key = Key::new("volume_ml", "12.5");
const WATER_BEFORE: Key = Key::new("water_before_ml", "200");
const WATER_AFTER: Key = Key::new("water_after_ml", "212.5");
const MESH: Key = Key::new("mesh", "\"shell.stl\"");
const SCALE: Key = Key::new("scale", "1");
const MASS: Key = Key::new("mass_g", "33");
const DENSITY: Key = Key::new("density_g_per_ml", "2.7");

/// How far a density may be from mass over volume: what a kitchen scale and a measuring cup are good for.
const DENSITY_TOLERANCE: f64 = 0.03;

/// What an item displaces when it is all under.
#[derive(Debug, Clone)]
pub(super) enum Bulk {
    Volume(Millilitres),
    Mesh(Solid),
}

impl Bulk {
    pub fn volume_ml(&self) -> f64 {
        match self {
            Bulk::Volume(volume) => volume.get(),
            Bulk::Mesh(solid) => solid.volume_ml(),
        }
    }
}

/// One item's body, and where the file says how large it is.
#[derive(Debug, Clone)]
pub(super) struct Body {
    pub bulk: Bulk,
    pub density: Option<GramsPerMl>,
    pub at: Range<usize>,
}

/// Reads the body of the item that is number `item`, from 0. A volume can be given in one way only.
pub(super) fn read(table: &mut Table<'_>, item: usize, load: LoadMesh<'_>) -> Result<Body, Reported> {
    let volume = table.optional(VOLUME, size::volume);
    let water = water(table);
    let scale = table.optional(SCALE, scale);
    let unit_mm =
        scale.as_ref().map(|scale| scale.as_ref().map_or(1.0, |scale| *scale.get_ref())).map_err(|told| *told);
    let mesh = table.optional(MESH, |field| mesh(field, item, unit_mm, load));
    let mass = table.optional(MASS, |field| field.quantity(Grams::new));
    let density = table.optional(DENSITY, |field| field.quantity(GramsPerMl::new));
    let (volume, water, scale, mesh, mass, density) = (volume?, water?, scale?, mesh?, mass?, density?);
    if let (Some(scale), None) = (&scale, &mesh) {
        table.fault(scale.span(), "'scale' is for a mesh, and there is none here", "take it out, or add a 'mesh'");
    }
    let told: Vec<(&str, Range<usize>, Bulk)> = [
        volume.map(|volume| ("volume_ml", volume.span(), Bulk::Volume(volume.into_inner()))),
        water.map(|volume| ("water_after_ml", volume.span(), Bulk::Volume(volume.into_inner()))),
        mesh.map(|mesh| ("mesh", mesh.span(), Bulk::Mesh(mesh.into_inner()))),
    ]
    .into_iter()
    .flatten()
    .collect();
    match told.as_slice() {
        [] => weighed(table, mass, density),
        [(_, at, bulk)] => {
            let density = density_of(table, bulk.volume_ml(), mass, density)?;
            sized(table, Body { bulk: bulk.clone(), density, at: at.clone() })
        }
        [(first, ..), (second, at, _), ..] => {
            let what = format!("the volume is given twice, by '{first}' and by '{second}'");
            Err(table.fault(at.clone(), &what, "keep the one you trust most and take the other out"))
        }
    }
}

/// What the item pushes up, at the place of the second figure.
fn water(table: &mut Table<'_>) -> Result<Option<Spanned<Millilitres>>, Reported> {
    let before = table.optional(WATER_BEFORE, size::volume);
    let after = table.optional(WATER_AFTER, size::volume);
    match (before?, after?) {
        (None, None) => Ok(None),
        (Some(_), None) => Err(table.missing(WATER_AFTER)),
        (None, Some(_)) => Err(table.missing(WATER_BEFORE)),
        (Some(before), Some(after)) => {
            let (low, high) = (before.get_ref().get(), after.get_ref().get());
            let pushed = Millilitres::new(high - low).map_err(|_| {
                let what = format!("'water_after_ml' is not above 'water_before_ml', which is {low}");
                table.fault(after.span(), &what, "write what the cup shows with the whole item under water")
            })?;
            Ok(Some(Spanned::new(after.span(), pushed)))
        }
    }
}

fn scale(field: Field<'_>) -> Result<Spanned<f64>, Reported> {
    let scale = field.key();
    field.judged(Ok, |figure| {
        if (1e-6..=1e6).contains(&figure) {
            return Ok(());
        }
        Err(Mistake {
            what: "'scale' must be millimetres for one unit of the mesh, above 0".to_owned(),
            remedy: format!("write {scale} for a file in millimetres, 25.4 for one in inches, 1000 for one in metres"),
        })
    })
}

/// The mesh, loaded; not where its scale could not be read, but its path is looked at all the same.
fn mesh(
    field: Field<'_>,
    item: usize,
    unit_mm: Result<f64, Reported>,
    load: LoadMesh<'_>,
) -> Result<Spanned<Solid>, Reported> {
    let loaded = field.parsed(|file| {
        mesh_path::checked(file)?;
        match unit_mm {
            Ok(scale) => load(MeshAsk { item, file, scale }).map(Ok),
            Err(reported) => Ok(Err(reported)),
        }
    })?;
    Ok(Spanned::new(loaded.span(), loaded.into_inner()?))
}

/// The volume from mass and density, where nothing else gives one.
fn weighed(
    table: &mut Table<'_>,
    mass: Option<Spanned<Grams>>,
    density: Option<Spanned<GramsPerMl>>,
) -> Result<Body, Reported> {
    match (mass, density) {
        (Some(mass), Some(density)) => {
            let at = mass.span();
            let density = density.into_inner();
            let volume = Millilitres::new(mass.into_inner().get() / density.get()).map_err(|_| {
                table.fault(at.clone(), "'mass_g' is next to nothing", "write the mass of one in grams")
            })?;
            sized(table, Body { bulk: Bulk::Volume(volume), density: Some(density), at })
        }
        (Some(_), None) => Err(table.missing_any(
            &[DENSITY, VOLUME, WATER_BEFORE, MESH],
            "'mass_g' alone does not say how large the item is",
            "add density_g_per_ml, or volume_ml, or water_before_ml and water_after_ml, or mesh",
        )),
        (None, Some(_)) => Err(table.missing_any(
            &[MASS, VOLUME, WATER_BEFORE, MESH],
            "'density_g_per_ml' alone does not say how large the item is",
            "add mass_g, or volume_ml, or water_before_ml and water_after_ml, or mesh",
        )),
        (None, None) => Err(table.missing_any(
            &[VOLUME, WATER_BEFORE, MESH, MASS],
            "nothing says how large the item is",
            "add volume_ml, or mass_g and density_g_per_ml, or water_before_ml and water_after_ml, or mesh",
        )),
    }
}

/// The item's density: as given, or mass over volume. Both must say the same.
fn density_of(
    table: &Table<'_>,
    volume_ml: f64,
    mass: Option<Spanned<Grams>>,
    density: Option<Spanned<GramsPerMl>>,
) -> Result<Option<GramsPerMl>, Reported> {
    let Some(mass) = mass else { return Ok(density.map(Spanned::into_inner)) };
    let grams = mass.get_ref().get();
    let follows = grams / volume_ml;
    let words = format!("{grams} g in {} mL is {} g/mL", typed(volume_ml), typed(follows));
    let Some(density) = density else {
        return GramsPerMl::new(follows).map(Some).map_err(|error| {
            let what = format!("'mass_g' and the volume cannot be of the same item: {words}");
            let remedy = format!("check both, each of one item; they must give {}", error.expected());
            table.fault(mass.span(), &what, &remedy)
        });
    };
    if (follows / density.get_ref().get() - 1.0).abs() > DENSITY_TOLERANCE {
        let what = format!("'density_g_per_ml' contradicts mass and volume: {words}");
        let remedy = "correct the wrong one of the three, or take 'density_g_per_ml' out";
        return Err(table.fault(density.span(), &what, remedy));
    }
    Ok(Some(density.into_inner()))
}

fn sized(table: &Table<'_>, body: Body) -> Result<Body, Reported> {
    let volume_ml = body.bulk.volume_ml();
    if volume_ml <= LARGEST_ML {
        return Ok(body);
    }
    let what = format!("the item is {} L: nothing cast here is larger than 1000 L", typed(volume_ml / 1000.0));
    Err(table.fault(body.at, &what, "check the units; of a mesh the 'scale', which is millimetres a unit of its file"))
}

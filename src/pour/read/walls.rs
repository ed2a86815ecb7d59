//! What the vessel is made of, and how thick.

use crate::heat::WallMaterial;
use crate::pour::Walls;
use crate::strict::{Field, Key, Mistake, Reported, Spanned, Table, typed};
use crate::units::Millimetres;

const WALL: Key = Key::new("wall", "\"polyethylene\"");
const WALL_MM: Key = Key::new("wall_mm", "3");
const BASE_MM: Key = Key::new("base_mm", "3");

const MATERIALS: [(&str, WallMaterial); 4] = [
    ("glass", WallMaterial::Glass),
    ("polyethylene", WallMaterial::Polyethylene),
    ("silicone", WallMaterial::Silicone),
    ("wood", WallMaterial::Wood),
];

/// No mould on a bench is thicker: a slip of the unit, which would cool the casting on paper.
const THICKEST_MM: f64 = 200.0;

/// Reads the keys that stand beside the shape or the sections. Material and thickness say something together only.
pub(super) fn read(table: &mut Table<'_>) -> Result<Option<Walls>, Reported> {
    // The thickness first: 'wall_m' is meant for it, and no time for a wall.
    let side = table.optional(WALL_MM, thickness);
    let material = table.optional(WALL, |field| field.choice(&MATERIALS));
    let base = table.optional(BASE_MM, thickness);
    let (material, side, base) = (material?, side?, base?.map(Spanned::into_inner));
    match (material, side) {
        (Some(material), Some(side)) => {
            let side = side.into_inner();
            Ok(Some(Walls { material: material.into_inner(), side, base: base.unwrap_or(side) }))
        }
        (Some(_), None) => Err(table.missing(WALL_MM)),
        (None, Some(_)) => Err(table.missing(WALL)),
        (None, None) if base.is_some() => {
            let what = "'base_mm' alone does not say what the vessel is made of";
            Err(table.missing_any(&[WALL], what, "add wall = \"polyethylene\" and wall_mm = 3, or take base_mm out"))
        }
        (None, None) => Ok(None),
    }
}

fn thickness(field: Field<'_>) -> Result<Spanned<Millimetres>, Reported> {
    let key = field.key();
    field.judged(Millimetres::new, |mm| {
        if mm <= THICKEST_MM {
            return Ok(());
        }
        Err(Mistake {
            what: format!("'{}' is {} cm: no vessel here has so thick a wall or base", key.name, typed(mm / 10.0)),
            remedy: format!("check the unit: the key is in millimetres, as in {key}"),
        })
    })
}

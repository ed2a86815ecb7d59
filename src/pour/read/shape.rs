//! The shape of a vessel or of one of its sections.

use super::size;
use super::water::{self, WATER};
use crate::pour::Shape;
use crate::strict::{Key, Reported, Spanned, Table, typed};
use crate::units::Level;
use std::ops::RangeInclusive;

pub(super) const SHAPE: Key = Key::new("shape", "\"cylinder\"");
const LENGTH: Key = Key::new("length_mm", "120");
const WIDTH: Key = Key::new("width_mm", "80");
const HEIGHT: Key = Key::new("height_mm", "70");
const DIAMETER: Key = Key::new("diameter_mm", "80");
const BOTTOM_DIAMETER: Key = Key::new("bottom_diameter_mm", "60");
const TOP_DIAMETER: Key = Key::new("top_diameter_mm", "75");
const SIDES: Key = Key::new("sides", "6");
const ACROSS_FLATS: Key = Key::new("across_flats_mm", "80");
const STARTS: Key = Key::new("starts_mm", "10");

/// Every key a shape can have.
pub(super) const KEYS: [Key; 10] =
    [LENGTH, WIDTH, HEIGHT, DIAMETER, BOTTOM_DIAMETER, TOP_DIAMETER, SIDES, ACROSS_FLATS, STARTS, WATER];

/// With more it is a cylinder.
const SIDES_OF_A_PRISM: RangeInclusive<u32> = 3..=100;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Kind {
    Box,
    Cylinder,
    Tapered,
    Prism,
    SpherePart,
    Filled,
}

const KINDS: [(&str, Kind); 6] = [
    ("box", Kind::Box),
    ("cylinder", Kind::Cylinder),
    ("tapered", Kind::Tapered),
    ("prism", Kind::Prism),
    ("sphere-part", Kind::SpherePart),
    ("filled", Kind::Filled),
];

impl Kind {
    fn keys(self) -> &'static [Key] {
        match self {
            Kind::Box => &[LENGTH, WIDTH, HEIGHT],
            Kind::Cylinder => &[DIAMETER, HEIGHT],
            Kind::Tapered => &[BOTTOM_DIAMETER, TOP_DIAMETER, HEIGHT],
            Kind::Prism => &[SIDES, ACROSS_FLATS, HEIGHT],
            Kind::SpherePart => &[DIAMETER, STARTS, HEIGHT],
            Kind::Filled => &[WATER],
        }
    }
}

/// Reads the shape that `table` describes.
pub(super) fn read(table: &mut Table<'_>) -> Result<Shape, Reported> {
    let kind = table.deciding(SHAPE, |field| field.choice(&KINDS))?.into_inner();
    foreign(table, kind);
    let mut length = |key| Ok(table.required(key, size::length)?.into_inner());
    match kind {
        Kind::Box => {
            let (length, width, height) = (length(LENGTH), length(WIDTH), length(HEIGHT));
            Ok(Shape::Box { length: length?, width: width?, height: height? })
        }
        Kind::Cylinder => {
            let (diameter, height) = (length(DIAMETER), length(HEIGHT));
            Ok(Shape::Cylinder { diameter: diameter?, height: height? })
        }
        Kind::Tapered => {
            let (bottom, top, height) = (length(BOTTOM_DIAMETER), length(TOP_DIAMETER), length(HEIGHT));
            Ok(Shape::Tapered { bottom_diameter: bottom?, top_diameter: top?, height: height? })
        }
        Kind::Prism => {
            let (across_flats, height) = (length(ACROSS_FLATS), length(HEIGHT));
            let sides = table.required(SIDES, |field| field.whole(SIDES_OF_A_PRISM))?.into_inner();
            Ok(Shape::Prism { sides, across_flats: across_flats?, height: height? })
        }
        Kind::SpherePart => sphere_part(table),
        Kind::Filled => water::read(table),
    }
}

/// Reports the keys of other shapes.
fn foreign(table: &mut Table<'_>, kind: Kind) {
    let own = kind.keys();
    let others: Vec<Key> = KEYS.into_iter().filter(|key| !own.contains(key)).collect();
    let word = KINDS.iter().find(|(_, each)| *each == kind).map_or("", |(word, _)| word);
    let names: Vec<&str> = own.iter().map(|key| key.name).collect();
    let remedy = format!("take it out, or write another shape; \"{word}\" takes {}", names.join(", "));
    table.unwanted(&others, &format!("the shape here is \"{word}\""), &remedy);
}

fn sphere_part(table: &mut Table<'_>) -> Result<Shape, Reported> {
    let diameter = table.required(DIAMETER, size::length);
    let starts = table.optional(STARTS, size::level);
    let height = table.required(HEIGHT, size::length);
    let (diameter, starts, height) = (diameter?.into_inner(), starts?, height?);
    let (ball, tall) = (diameter.get(), height.get_ref().get());
    let from = starts.as_ref().map_or(0.0, |starts| starts.get_ref().get());
    if let Some(starts) = starts.as_ref().filter(|_| from >= ball) {
        let what = format!("'starts_mm' is at or above the top of the ball, which is {ball} mm across");
        return Err(table.fault(starts.span(), &what, &format!("write starts_mm = less than {ball}")));
    }
    let starts = starts.map_or(Level::FLOOR, Spanned::into_inner);
    Shape::sphere_part(diameter, starts, *height.get_ref()).map_err(|_| {
        let what = format!("the part ends at {} mm, above the top of its ball at {ball} mm", typed(from + tall));
        let remedy = format!("write height_mm = {} or less, or a larger 'diameter_mm'", typed(ball - from));
        table.fault(height.span(), &what, &remedy)
    })
}

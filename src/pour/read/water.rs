//! A vessel measured with water: how deep it stood when so much was in.

use super::size;
use crate::pour::{Monotone, Shape};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Millilitres, Millimetres};

pub(super) const WATER: Key =
    Key::new("water", "[{ depth_mm = 10, water_ml = 48 }, { depth_mm = 20, water_ml = 101 }]");
const DEPTH: Key = Key::new("depth_mm", "10");
const VOLUME: Key = Key::new("water_ml", "48");

const MOST_ROWS: usize = 500;

struct Row {
    depth: Spanned<Millimetres>,
    volume: Spanned<Millilitres>,
}

impl Row {
    fn figures(&self) -> (f64, f64) {
        (self.depth.get_ref().get(), self.volume.get_ref().get())
    }
}

/// Reads the rows, which must rise in both columns.
pub(super) fn read(table: &mut Table<'_>) -> Result<Shape, Reported> {
    let rows = table.required(WATER, rows)?;
    let mut steady = Ok(());
    for (number, pair) in (2..).zip(rows.array_windows()) {
        if let Err(reported) = rising(table, number, pair) {
            steady = Err(reported);
        }
    }
    steady?;
    let points: Vec<(f64, f64)> = rows.iter().map(Row::figures).collect();
    Monotone::through(&points).map(Shape::Filled).map_err(|place| {
        let span = rows.get(place.0).map_or(table.span(), |row| row.volume.span());
        table.fault(
            span,
            "no vessel is that wide or that narrow",
            "check depth and water of this row and the one before",
        )
    })
}

fn rows(field: Field<'_>) -> Result<Vec<Row>, Reported> {
    field.counted(1..=MOST_ROWS)?.tables(|table| {
        let (depth, volume) = (table.required(DEPTH, size::length), table.required(VOLUME, size::volume));
        Ok(Row { depth: depth?, volume: volume? })
    })
}

fn rising(table: &Table<'_>, number: u32, [below, row]: &[Row; 2]) -> Result<(), Reported> {
    let ((deep, much), (deeper, more)) = (below.figures(), row.figures());
    let mut steady = Ok(());
    if deeper <= deep {
        let what = format!("'depth_mm' does not rise: row {number} of 'water' comes after one of {deep} mm");
        steady = Err(table.fault(row.depth.span(), &what, "write the rows from the floor up, each depth once"));
    }
    if more <= much {
        let what = format!("'water_ml' does not rise: row {number} of 'water' comes after one of {much} mL");
        let remedy = "write all the water poured in so far, from the first drop on, not what was added";
        steady = Err(table.fault(row.volume.span(), &what, remedy));
    }
    steady
}

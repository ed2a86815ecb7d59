//! The `[layers]` table: how deep, how many, where they have to end.

use super::size::{self, SAME_MM};
use crate::pour::{Division, LayerWishes};
use crate::strict::{Field, Key, Reported, Spanned, Table};
use crate::units::{Hours, Level, Millimetres};
use std::ops::Range;

const MIN: Key = Key::new("min_mm", "4");
const MAX: Key = Key::new("max_mm", "10");
const COUNT: Key = Key::new("count", "6");
const DEPTHS: Key = Key::new("depths_mm", "[10, 10, 8]");
const LEVELS: Key = Key::new("levels_mm", "[24]");
const COLD_AFTER: Key = Key::new("cold_after", "[4]");
const TOPPING: Key = Key::new("topping", "true");
const NEXT_AFTER: Key = Key::new("next_layer_after", "\"1h\"");

/// Nobody pours more.
pub(super) const MOST_LAYERS: u32 = 1000;

/// The layers asked for, and where the file says what they are held against the rest of the piece for.
#[derive(Default)]
pub(super) struct LayersRead {
    pub min: Option<Millimetres>,
    pub max: Option<Spanned<Millimetres>>,
    pub count: Option<Spanned<u32>>,
    pub depths: Option<Depths>,
    pub levels: Vec<Spanned<Level>>,
    pub cold_after: Vec<Spanned<u32>>,
    pub topping: bool,
    pub next_after: Option<Hours>,
}

/// Depths from the floor up.
pub(super) struct Depths {
    pub each: Vec<Millimetres>,
    pub at: Range<usize>,
}

impl Depths {
    /// Where each of the layers ends.
    pub fn ends_mm(&self) -> Vec<f64> {
        let mut level = 0.0;
        let up = |depth: &Millimetres| {
            level += depth.get();
            level
        };
        self.each.iter().map(up).collect()
    }
}

pub(super) fn read(table: &mut Table<'_>) -> Result<LayersRead, Reported> {
    let (min, max) = (table.optional(MIN, size::length), table.optional(MAX, size::length));
    let count = table.optional(COUNT, |field| field.whole(1..=MOST_LAYERS));
    let depths = table.optional(DEPTHS, depths);
    let levels = table.optional(LEVELS, |field| few(field)?.list("a list of levels in mm", size::layer_end));
    let cold_after =
        table.optional(COLD_AFTER, |field| few(field)?.list("a list of layers", |field| field.whole(1..=MOST_LAYERS)));
    let topping = table.optional(TOPPING, Field::truth);
    let next_after = table.optional(NEXT_AFTER, Field::duration);
    let (min, max, count, depths) = (min?, max?, count?, depths?);
    if let (Some(min), Some(max)) = (&min, &max) {
        rising(table, min, max.get_ref().get());
    }
    if let (Some(_), Some(depths)) = (&count, &depths) {
        let what = "'count' and 'depths_mm' both say how many layers there are";
        table.fault(depths.at.clone(), what, "keep one of the two and take the other out");
    }
    Ok(LayersRead {
        min: min.map(Spanned::into_inner),
        max,
        count,
        depths,
        levels: levels?.unwrap_or_default(),
        cold_after: cold_after?.unwrap_or_default(),
        topping: topping?.is_some_and(Spanned::into_inner),
        next_after: next_after?.map(|after| after.into_inner().into()),
    })
}

/// The same list, if it is no longer than there can be layers.
fn few(field: Field<'_>) -> Result<Field<'_>, Reported> {
    field.counted(0..=MOST_LAYERS as usize)
}

fn depths(field: Field<'_>) -> Result<Depths, Reported> {
    let at = field.span();
    let each = field.counted(1..=MOST_LAYERS as usize)?.list("a list of depths in mm", size::length)?;
    Ok(Depths { each: each.into_iter().map(Spanned::into_inner).collect(), at })
}

fn rising(table: &Table<'_>, min: &Spanned<Millimetres>, high: f64) {
    if min.get_ref().get() > high {
        let what = format!("'min_mm' is above 'max_mm', which is {high}");
        table.fault(min.span(), &what, &format!("write min_mm = {high} or less, or raise 'max_mm'"));
    }
}

impl LayersRead {
    /// How many layers there are, the topping not counted, where the file says it.
    pub fn number(&self) -> Option<usize> {
        let depths = self.depths.as_ref().map(|depths| depths.each.len());
        depths.or(self.count.as_ref().map(|count| *count.get_ref() as usize))
    }

    /// The wishes, levels and layers rising and each once.
    pub fn wishes(self) -> LayerWishes {
        let mut levels: Vec<Level> = self.levels.into_iter().map(Spanned::into_inner).collect();
        levels.sort_by(|a, b| a.get().total_cmp(&b.get()));
        levels.dedup_by(|upper, lower| upper.get() - lower.get() <= SAME_MM);
        let mut cold_after: Vec<u32> = self.cold_after.into_iter().map(Spanned::into_inner).collect();
        cold_after.sort_unstable();
        cold_after.dedup();
        let division = match (self.depths, self.count) {
            (Some(depths), _) => Division::Depths(depths.each),
            (None, Some(count)) => Division::Count(count.into_inner()),
            (None, None) => Division::Fewest,
        };
        LayerWishes {
            min: self.min,
            max: self.max.map(Spanned::into_inner),
            division,
            levels,
            cold_after,
            topping: self.topping,
            next_layer_after: self.next_after,
        }
    }
}

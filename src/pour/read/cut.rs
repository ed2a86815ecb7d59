//! Whether the layers asked for can be cut out of the fill, with an end at every level that needs one.

use super::item::ItemRead;
use super::layers::{Depths, LayersRead, MOST_LAYERS};
use super::size::SAME_MM;
use crate::strict::{Table, typed};
use crate::units::Level;
use std::ops::Range;

/// A level at which a layer has to end, and where the file says so.
struct End {
    mm: f64,
    at: Range<usize>,
    key: &'static str,
}

/// Reports what cannot be. `items` must lie below the fill; where some do not, that has been told.
pub(super) fn check(top: &Table<'_>, layers: &LayersRead, fill: Option<Level>, items: &[ItemRead]) {
    pauses(top, layers);
    let Some(fill) = fill.map(Level::get) else { return };
    for level in &layers.levels {
        if level.get_ref().get() >= fill - SAME_MM {
            let what = format!("this level is not below the fill, which is at {fill} mm: nothing is poured above it");
            top.fault(level.span(), &what, &format!("write levels between 0 and {fill}, or take it out"));
        }
    }
    if let Some(max) = layers.max.as_ref().filter(|max| fill / max.get_ref().get() > f64::from(MOST_LAYERS)) {
        let what = format!("layers no deeper than this would be more than {MOST_LAYERS}: 'fill_mm' is {fill}");
        top.fault(max.span(), &what, "write max_mm = a depth in millimetres that can be poured, 10 say");
    }
    let ends = ends(layers, items, fill);
    match &layers.depths {
        Some(depths) => cut_at(top, depths, fill, &ends),
        None => enough(top, layers, &ends),
    }
}

/// Every level below the fill at which a layer has to end: those given, and those of bedded items.
fn ends(layers: &LayersRead, items: &[ItemRead], fill: f64) -> Vec<End> {
    let given = layers.levels.iter().map(|level| (level, "levels_mm"));
    let bedded = items.iter().filter(|read| read.item.bedded).map(|read| (&read.from, read.from_key));
    given
        .chain(bedded)
        .map(|(level, key)| End { mm: level.get_ref().get(), at: level.span(), key })
        .filter(|end| end.mm < fill - SAME_MM)
        .collect()
}

/// The depths make up the fill, and one of them ends at every level that needs it.
fn cut_at(top: &Table<'_>, depths: &Depths, fill: f64, ends: &[End]) {
    let cuts = depths.ends_mm();
    let sum = cuts.last().copied().unwrap_or_default();
    let off = sum - fill;
    if off.abs() > SAME_MM {
        let (sum, by) = (typed(sum), typed(off.abs()));
        let which = if off < 0.0 { "too little" } else { "too much" };
        let what = format!("'depths_mm' add up to {sum} mm; 'fill_mm' is {fill}");
        top.fault(depths.at.clone(), &what, &format!("correct one of the two: the depths are {by} mm {which}"));
        return;
    }
    for end in ends {
        if cuts.iter().all(|cut| (cut - end.mm).abs() > SAME_MM) {
            let cuts: Vec<String> = cuts.iter().map(|cut| typed(*cut)).collect();
            let what = format!("no layer ends here: the 'depths_mm' end at {} mm", cuts.join(", "));
            let remedy = match end.key {
                "bedded_at_mm" => "lay it onto one of these, write from_mm where it is just held, or change the depths",
                _ => "write one of these, or change the depths",
            };
            top.fault(end.at.clone(), &what, remedy);
        }
    }
}

/// There are as many layers as the levels cut the fill into.
fn enough(top: &Table<'_>, layers: &LayersRead, ends: &[End]) {
    let Some(count) = &layers.count else { return };
    let mut levels: Vec<f64> = ends.iter().map(|end| end.mm).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup_by(|upper, lower| *upper - *lower <= SAME_MM);
    let least = levels.len() + 1;
    if (*count.get_ref() as usize) < least {
        let levels: Vec<String> = levels.into_iter().map(typed).collect();
        let what =
            format!("too few layers: one has to end at {} mm, for 'levels_mm' and bedded items", levels.join(", "));
        top.fault(count.span(), &what, &format!("write count = {least} or more, or take levels out"));
    }
}

/// There is a layer after each pause.
fn pauses(top: &Table<'_>, layers: &LayersRead) {
    let Some(number) = layers.number() else { return };
    let last = number + usize::from(layers.topping);
    for pause in &layers.cold_after {
        if *pause.get_ref() as usize >= last {
            let topping = if layers.topping { " and the topping" } else { "" };
            let what = format!("nothing is poured after this: there are {number} layers{topping}");
            let remedy = match last {
                0 | 1 => "take it out: there is nothing to wait for".to_owned(),
                last => format!("write layers before the last one, from 1 to {}, or take it out", last - 1),
            };
            top.fault(pause.span(), &what, &remedy);
        }
    }
}

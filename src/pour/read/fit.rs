//! Whether the items lie in the vessel, in the resin, and beside each other.

use super::item::ItemRead;
use super::size::SAME_MM;
use crate::pour::{Item, Shape, Solid, Space, Vessel};
use crate::strict::{Spanned, Table, typed};
use crate::units::{Level, Millimetres};

/// So far up, in tenths of a millimetre, a better place for an item is looked for.
const MOST_TENTHS: u32 = 200;

/// The fill, taken to the brim where only rounding puts it above. Reports one that is higher.
pub(super) fn fill(top: &Table<'_>, fill: &Spanned<Level>, vessel: &Vessel) -> Level {
    let (level, brim) = (fill.get_ref().get(), vessel.height_mm());
    if level <= brim + SAME_MM {
        return Level::new(level.min(brim)).unwrap_or(*fill.get_ref());
    }
    let measured = vessel.sections().last().is_some_and(|top| matches!(top.shape, Shape::Filled(_)));
    let (edge, instead) = if measured {
        ("the last row of the water table", "pour water in further and add rows to 'water'")
    } else {
        ("the brim", "take a taller vessel")
    };
    let brim = typed(brim);
    let what = format!("'fill_mm' is above {edge}, which is at {brim} mm");
    top.fault(fill.span(), &what, &format!("write fill_mm = {brim} or less, or {instead}"));
    *fill.get_ref()
}

/// Reports every item that lies nowhere in the resin, does not fit into the vessel, or crowds the others.
pub(super) fn items(top: &Table<'_>, vessel: Option<&Vessel>, fill: Option<Level>, items: &[ItemRead]) {
    let mut sound = true;
    for read in items {
        sound &= lies(top, vessel, fill, read);
        if let Some(vessel) = vessel {
            sound &= fits(top, vessel, read);
        }
    }
    // One item in a wrong place would crowd the right ones: that has been told.
    if let Some(vessel) = vessel.filter(|_| sound) {
        together(top, vessel, items);
    }
}

fn lies(top: &Table<'_>, vessel: Option<&Vessel>, fill: Option<Level>, read: &ItemRead) -> bool {
    let (from, key) = (read.from.get_ref().get(), read.from_key);
    if let Some(brim) = vessel.map(Vessel::height_mm).filter(|brim| from >= *brim - SAME_MM) {
        let what = format!("'{key}' is outside the vessel, whose brim is at {} mm", typed(brim));
        top.fault(read.from.span(), &what, &format!("write {key} = a level below the brim"));
        return false;
    }
    let Some(fill) = fill.map(Level::get) else { return true };
    if from >= fill - SAME_MM {
        let what = format!("'{key}' is above the resin, which reaches {fill} mm");
        top.fault(read.from.span(), &what, &format!("write {key} = a level below {fill}, or raise 'fill_mm'"));
        return false;
    }
    let above = read.item.to_mm() - fill;
    if above > SAME_MM {
        let what = format!("{} will stick out of the resin by {} mm", named(&read.item), typed(above));
        let remedy =
            format!("leave it so if it is meant to; to cover it, write fill_mm = {} or more", typed(fill + above));
        top.doubt(read.top_at.clone(), &what, &remedy);
    }
    true
}

fn fits(top: &Table<'_>, vessel: &Vessel, read: &ItemRead) -> bool {
    if let Solid::Mesh(mesh) = &read.item.solid
        && !vessel.fits_spans(mesh.spans_mm())
    {
        let [x, y] = mesh.spans_mm().map(typed);
        let what = format!("{} is {x} mm by {y} mm wide, wider than the vessel", named(&read.item));
        top.fault(read.size_at.clone(), &what, "check the 'scale', which is millimetres a unit of the mesh file");
        return false;
    }
    let Some((level, _)) = Space::new(vessel, std::slice::from_ref(&read.item)).crowded_at() else { return true };
    let who = match read.item.count {
        1 => format!("{} takes", named(&read.item)),
        count => format!("all {count} of {} take", named(&read.item)),
    };
    let what = format!("{who} more room than the vessel has at {} mm above the floor", typed(level));
    let check = "check its size, its count and its levels, and the inside of the vessel";
    let remedy = match rests_at_mm(vessel, &read.item) {
        Some(mm) => format!(
            "where the vessel is that narrow it rests higher: write {} = {}, or {check}",
            read.from_key,
            typed(mm)
        ),
        None => check.to_owned(),
    };
    top.fault(read.size_at.clone(), &what, &remedy);
    false
}

/// The lowest tenth of a millimetre, up to half its height, from which an item of a plain volume fits below its top: a
/// pebble in a bowl does not fill the bowl's tip.
fn rests_at_mm(vessel: &Vessel, item: &Item) -> Option<f64> {
    let Solid::Even { volume, height } = item.solid else { return None };
    let from = item.from.get();
    let fits = |tenths: u32| {
        let lift = f64::from(tenths) / 10.0;
        let (height, from) = (Millimetres::new(height.get() - lift).ok()?, Level::new(from + lift).ok()?);
        let raised = Item { solid: Solid::Even { volume, height }, from, ..item.clone() };
        Space::new(vessel, &[raised]).crowded_at().is_none().then_some(from.get())
    };
    (1..MOST_TENTHS).take_while(|tenths| f64::from(*tenths) / 5.0 <= height.get()).find_map(fits)
}

fn together(top: &Table<'_>, vessel: &Vessel, reads: &[ItemRead]) {
    let items: Vec<Item> = reads.iter().map(|read| read.item.clone()).collect();
    let Some((level, which)) = Space::new(vessel, &items).crowded_at() else { return };
    let Some(read) = reads.get(which) else { return };
    let what = format!(
        "{} does not fit beside the others: at {} mm above the floor the items take more room than the vessel has",
        named(&read.item),
        typed(level)
    );
    top.fault(read.size_at.clone(), &what, "take some out, lay some higher or lower, or take a wider vessel");
}

fn named(item: &Item) -> String {
    format!("'{}'", item.name)
}

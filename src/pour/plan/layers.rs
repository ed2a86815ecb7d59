//! Where one layer ends and the next begins.

use super::division::Planned;
use super::ground::{Ground, SAME_MM, parts};
use super::outcome::LayerKind;
use super::warning::{Warning, WarningCode};
use super::words::mm;
use crate::material::{Cure, Profile};
use crate::pour::{Item, Piece, Space};

/// A layer before anything is weighed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cut {
    pub number: u32,
    pub kind: LayerKind,
    pub from_mm: f64,
    pub to_mm: f64,
    /// What lies below sets cold before it is poured.
    pub cold: bool,
    /// Items laid in before this one is poured, by their place in the piece.
    pub bedded: Vec<usize>,
}

/// The layers that are left to pour, from the lowest up, the topping last.
///
/// After a pour the rest is cut anew from the level that was really reached. A level that was missed by less than half
/// of the thinnest layer counts as reached, so that nobody has to pour a film.
pub(super) fn cuts(ground: &Ground<'_>) -> Vec<Cut> {
    let level = ground.progress.level_mm;
    let planned = Planned::new(ground);
    let mut number = ground.progress.poured;
    let mut from_mm = level;
    let mut cuts = Vec::new();
    let tops = if is_sunk(ground, &planned) { Vec::new() } else { planned.tops_above(level, number) };
    for to_mm in tops {
        number += 1;
        let bed = |from: f64| if cuts.is_empty() { planned.begins_at(from, level) } else { same(from, from_mm) };
        let items = ground.piece.items.iter().enumerate();
        // What is not bedded goes in before the layer in which it begins, the floor's own items before the first.
        let begins = |from: f64| from >= from_mm - SAME_MM && from < to_mm - SAME_MM;
        let goes_in = |item: &Item| bed(item.from.get()) || !item.bedded && begins(item.from.get());
        let bedded = items.filter(|(_, item)| goes_in(item)).map(|(place, _)| place).collect();
        let cold = ground.piece.layers.cold_after.contains(&(number - 1));
        cuts.push(Cut { number, kind: LayerKind::Cast, from_mm, to_mm, cold, bedded });
        from_mm = to_mm;
    }
    cuts.extend(topping(ground, from_mm, number + 1));
    cuts
}

/// Whether all layers are in and what was found missing up to the fill is no more than the cure shrinks: the topping
/// makes it good, and another layer would fill the same room twice.
fn is_sunk(ground: &Ground<'_>, planned: &Planned<'_>) -> bool {
    ground.piece.layers.topping
        && ground.progress.measured
        && ground.progress.poured >= planned.layers()
        && ground.progress.level_mm >= sunk_to_mm(ground) - SAME_MM
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_MM
}

fn topping(ground: &Ground<'_>, level_mm: f64, number: u32) -> Option<Cut> {
    if !ground.piece.layers.topping || ground.progress.topped {
        return None;
    }
    let from_mm = topping_from_mm(ground.piece, ground.profile, level_mm, ground.progress.measured);
    let to_mm = ground.fill_mm();
    let (kind, bedded) = (LayerKind::Topping, Vec::new());
    (to_mm - from_mm > SAME_MM).then_some(Cut { number, kind, from_mm, to_mm, cold: true, bedded })
}

/// Where the topping begins on a casting whose last layer ends at `level_mm`, mm.
///
/// What the cure shrinks of the whole piece stands empty above the level where the room is V (1 − s); the topping fills
/// it. V is all resin of the piece, s the shrinkage by volume, so that the topping takes s V (conservation of volume,
/// all of the loss showing at the top; what shrinks away from a wall makes it less). Where `measured` under the fill, some
/// or all of it has shown already.
pub fn topping_from_mm(piece: &Piece, profile: &Profile, level_mm: f64, measured: bool) -> f64 {
    let space = Space::new(&piece.vessel, &piece.items);
    let fill_mm = piece.fill.get();
    if measured && level_mm < fill_mm {
        return sunk_mm(&space, profile, fill_mm).min(level_mm);
    }
    sunk_mm(&space, profile, level_mm)
}

/// Where resin stands once it has cured that stood at `level_mm`, mm.
fn sunk_mm(space: &Space<'_>, profile: &Profile, level_mm: f64) -> f64 {
    let left = 1.0 - profile.shrinkage.value.get() / 100.0;
    space.level_after_mm(0.0, space.volume_below_ml(level_mm) * left).unwrap_or(level_mm)
}

/// Where the cured piece stands without a topping, mm.
pub(super) fn sunk_to_mm(ground: &Ground<'_>) -> f64 {
    sunk_mm(&ground.space, ground.profile, ground.fill_mm())
}

/// Says which layers are outside the limits. A topping may be as thin as it is.
pub(super) fn check(ground: &Ground<'_>, cuts: &[Cut], warnings: &mut Vec<Warning>) {
    for cut in cuts {
        too_thin(ground, cut, warnings);
        too_deep(ground, cut, warnings);
    }
    let left_mm = ground.fill_mm() - ground.progress.level_mm;
    if cuts.is_empty() && left_mm > SAME_MM {
        let text = format!(
            "the resin stands {} under the fill: too little for a layer of its own; leave it so, or ask for a topping",
            mm(left_mm)
        );
        warnings.push(Warning::of_piece(WarningCode::LayerTooThin, &text));
    }
}

fn too_thin(ground: &Ground<'_>, cut: &Cut, warnings: &mut Vec<Warning>) {
    let depth = cut.to_mm - cut.from_mm;
    let Some(min) = ground.thinnest_mm().filter(|min| depth < min - SAME_MM) else { return };
    if cut.kind == LayerKind::Cast {
        let text = format!(
            "layer {} is {} deep, under the {} that set well: it may stay soft; ask for fewer layers, or move the level \
             that cuts it off",
            cut.number,
            mm(depth),
            mm(min)
        );
        warnings.push(Warning::of_layer(WarningCode::LayerTooThin, cut.number, &text));
    }
}

fn too_deep(ground: &Ground<'_>, cut: &Cut, warnings: &mut Vec<Warning>) {
    let depth = cut.to_mm - cut.from_mm;
    let most = if ground.progress.poured > 0 { ground.deepest_made_good_mm() } else { ground.deepest_mm() };
    let Some(max) = ground.deepest_mm().filter(|max| depth > most.unwrap_or(*max) + SAME_MM) else { return };
    let why = match ground.profile.cure {
        Cure::Thermal(_) => "that usually stay cool enough: it may overheat and crack",
        Cure::Light { .. } => "that light gets through: it may stay soft underneath",
    };
    let text = format!(
        "layer {} is {} deep, over the {} {why}; pour it as {}",
        cut.number,
        mm(depth),
        mm(max),
        parts(depth, max)
    );
    warnings.push(Warning::of_layer(WarningCode::LayerTooDeep, cut.number, &text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::pour::Division;
    use crate::pour::plan::plan;
    use crate::pour::plan::testing::{
        after, all_close, block, close, cut, fresh, mm, polyester, shell, tops, warning, warnings,
    };

    fn topped() -> Piece {
        let mut piece = block();
        piece.layers.topping = true;
        piece
    }

    #[test]
    fn the_topping_fills_what_the_cure_shrinks() {
        // 7 % of 600 mL; in a box the level sinks by as much.
        let plan = fresh(&topped(), &polyester());
        let topping = plan.layers.last().unwrap();
        assert_eq!((topping.number, topping.kind), (4, LayerKind::Topping));
        close(topping.cast.from_mm, 60.0 * 0.93);
        close(topping.cast.volume_ml, 600.0 * 0.07);
        assert_eq!(warnings(&plan, WarningCode::Shrinkage), Vec::<&Warning>::new());
    }

    #[test]
    fn a_topping_is_left_over_until_it_is_poured() {
        let mut last = after(3, 60.0);
        let left: Vec<u32> = plan(&topped(), &polyester(), &last).layers.iter().map(|layer| layer.number).collect();
        assert_eq!(left, [4]);
        last.progress.topped = true;
        assert!(plan(&topped(), &polyester(), &last).layers.is_empty());
    }

    #[test]
    fn what_has_sunk_is_left_to_the_topping() {
        // 60 mm sink to 55.8; measured at 56.5 after the last of three layers.
        let casts = |level_mm, measured| {
            let mut conditions = after(3, level_mm);
            conditions.progress.measured = measured;
            let plan = plan(&topped(), &polyester(), &conditions);
            plan.layers.iter().map(|layer| (layer.kind, layer.cast.from_mm)).collect::<Vec<_>>()
        };
        let [(LayerKind::Topping, from_mm)] = casts(56.5, true)[..] else { panic!("one topping") };
        close(from_mm, 55.8);
        for short in [casts(56.5, false), casts(50.0, true)] {
            let kinds: Vec<LayerKind> = short.iter().map(|(kind, _)| *kind).collect();
            assert_eq!(kinds, [LayerKind::Cast, LayerKind::Topping], "poured short, or lower than any cure sinks");
        }
    }

    #[test]
    fn a_topping_begins_where_the_casting_really_ends() {
        let from = |level_mm| {
            let plan = plan(&topped(), &polyester(), &after(3, level_mm));
            plan.layers.last().map(|layer| layer.cast.from_mm)
        };
        close(from(60.0).unwrap(), 55.8);
        close(from(62.0).unwrap(), 62.0 * 0.93);
        assert_eq!(from(65.0), None, "it ends over the fill even when it has sunk");
        close(from(59.0).unwrap(), 59.0 * 0.93);
        let mut rigid = polyester();
        rigid.shrinkage.value = crate::units::Percent::new(1.0).unwrap();
        let mut low = after(3, 59.0);
        low.progress.measured = true;
        close(plan(&topped(), &rigid, &low).layers[0].cast.from_mm, 59.0);
    }

    #[test]
    fn a_topping_may_be_thin() {
        let mut profile = polyester();
        profile.shrinkage.value = crate::units::Percent::new(2.0).unwrap();
        let plan = fresh(&topped(), &profile);
        assert!(plan.layers.last().unwrap().cast.depth_mm() < 3.0);
        assert_eq!(warnings(&plan, WarningCode::LayerTooThin), Vec::<&Warning>::new());
    }

    #[test]
    fn layer_numbers_go_on() {
        let numbers: Vec<u32> =
            plan(&block(), &polyester(), &after(2, 40.0)).layers.iter().map(|layer| layer.number).collect();
        assert_eq!(numbers, [3]);
    }

    #[test]
    fn bedded_items_lie_on_the_layer_that_ends_there() {
        let mut piece = block();
        let standing = crate::pour::Item { bedded: false, ..shell(30.0) };
        let higher = crate::pour::Item { bedded: false, ..shell(32.0) };
        piece.items = vec![shell(30.0), shell(0.0), standing, higher];
        let plan = fresh(&piece, &polyester());
        all_close(&tops(&plan), &[15.0, 30.0, 45.0, 60.0]);
        let bedded: Vec<&[usize]> = plan.layers.iter().map(|layer| layer.bedded.as_slice()).collect();
        assert_eq!(bedded, [&[1][..], &[], &[0, 2, 3], &[]], "what begins within a layer goes in before it");
    }

    #[test]
    fn items_are_laid_where_the_resin_really_stands() {
        let mut piece = block();
        piece.items = vec![shell(30.0)];
        for level_mm in [28.8, 30.0, 31.2] {
            let plan = plan(&piece, &polyester(), &after(2, level_mm));
            assert_eq!(plan.layers[0].bedded, [0], "{level_mm}");
            assert!(tops(&plan).iter().all(|top| (top - 30.0).abs() > 1.0), "no film at {level_mm}");
        }
        let covered = plan(&piece, &polyester(), &after(3, 45.0));
        assert!(covered.layers[0].bedded.is_empty());
    }

    #[test]
    fn thin_and_deep_layers_are_told() {
        let mut piece = cut(block(), Division::Depths([2.0, 33.0, 25.0].map(mm).to_vec()));
        let plan = fresh(&piece, &polyester());
        assert!(warning(&plan, WarningCode::LayerTooThin).starts_with("layer 1 is 2.0 mm deep, under the 3.0 mm"));
        let deep: Vec<Option<u32>> = warnings(&plan, WarningCode::LayerTooDeep).iter().map(|told| told.layer).collect();
        assert_eq!(deep, [Some(2), Some(3)]);
        assert!(warnings(&plan, WarningCode::LayerTooDeep)[1].text.as_str().ends_with("pour it as 2"));
        (piece.layers.min, piece.layers.max) = (Some(mm(2.0)), Some(mm(33.0)));
        let told = fresh(&piece, &polyester()).warnings;
        assert!(told.iter().all(|told| !matches!(told.code, WarningCode::LayerTooThin | WarningCode::LayerTooDeep)));
    }

    #[test]
    fn what_is_too_little_for_a_layer_is_said() {
        let plan = plan(&block(), &polyester(), &after(3, 59.0));
        assert!(plan.layers.is_empty());
        assert!(warning(&plan, WarningCode::LayerTooThin).starts_with("the resin stands 1.0 mm under the fill"));
    }
}

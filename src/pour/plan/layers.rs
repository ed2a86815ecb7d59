//! Where one layer ends and the next begins.

use super::division::Planned;
use super::ground::{Ground, SAME_MM, parts};
use super::outcome::LayerKind;
use super::warning::{Warning, WarningCode};
use super::words::mm;
use crate::material::Cure;

/// A layer before anything is weighed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cut {
    pub number: u32,
    pub kind: LayerKind,
    pub from_mm: f64,
    pub to_mm: f64,
    /// Items laid onto the layer below before this one is poured, by their place in the piece.
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
    for to_mm in planned.tops_above(level, number) {
        number += 1;
        let bed = |from: f64| if cuts.is_empty() { planned.begins_at(from, level) } else { same(from, from_mm) };
        let items = ground.piece.items.iter().enumerate();
        let bedded = items.filter(|(_, item)| item.bedded && bed(item.from.get())).map(|(place, _)| place).collect();
        cuts.push(Cut { number, kind: LayerKind::Cast, from_mm, to_mm, bedded });
        from_mm = to_mm;
    }
    cuts.extend(topping(ground, number + 1));
    cuts
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() <= SAME_MM
}

/// What the cure shrinks of the whole piece stands empty above the level where the room is V (1 − s); the topping fills
/// it. V is all resin of the piece, s the shrinkage by volume, so that the topping takes s V (conservation of volume,
/// all of the loss showing at the top; what shrinks away from a wall makes it less).
fn topping(ground: &Ground<'_>, number: u32) -> Option<Cut> {
    if !ground.piece.layers.topping || ground.progress.topped {
        return None;
    }
    let from_mm = sunk_to_mm(ground)?;
    let to_mm = ground.fill_mm();
    (to_mm - from_mm > SAME_MM).then_some(Cut { number, kind: LayerKind::Topping, from_mm, to_mm, bedded: Vec::new() })
}

/// Where the cured piece stands without a topping, mm.
pub(super) fn sunk_to_mm(ground: &Ground<'_>) -> Option<f64> {
    let left = 1.0 - ground.profile.shrinkage.value.get() / 100.0;
    ground.space.level_after_mm(0.0, ground.whole_ml() * left)
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
    use crate::pour::plan::plan;
    use crate::pour::plan::testing::{
        after, all_close, block, close, cut, fresh, mm, polyester, shell, tops, warning, warnings,
    };
    use crate::pour::{Division, Piece};

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
        piece.items = vec![shell(30.0), shell(0.0), standing];
        let plan = fresh(&piece, &polyester());
        all_close(&tops(&plan), &[15.0, 30.0, 45.0, 60.0]);
        let bedded: Vec<&[usize]> = plan.layers.iter().map(|layer| layer.bedded.as_slice()).collect();
        assert_eq!(bedded, [&[1][..], &[], &[0], &[]]);
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
